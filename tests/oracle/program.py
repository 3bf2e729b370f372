"""The program as a user starts it: arguments and standard input in, streams and exit code out."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tests.forking import Starter

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Result:
    """What one run gave."""

    argv: tuple[str, ...]
    code: int
    out: str
    err: str

    def data(self) -> Any:
        """Give the JSON object of a run that must have succeeded."""
        assert self.code == 0, f"{self.argv} ended with {self.code}: {self.err}"
        return json.loads(self.out)


@cache
def _starter() -> Starter:
    environment = {name: value for name, value in os.environ.items() if not name.startswith("DIAGTREE")}
    return Starter({**environment, "PYTHONIOENCODING": "utf-8"})


@cache
def run(argv: tuple[str, ...], stdin: str = "") -> Result:
    """Run `diagtree` once with these arguments; the same run again is not repeated."""
    code, out, err = _starter().run(argv, stdin.encode())
    return Result(argv, code, out.decode(), err.decode())


def run_all(calls: Iterable[tuple[Sequence[str], str]]) -> list[Result]:
    """Run several calls, in their order."""
    return [run(tuple(argv), stdin) for argv, stdin in calls]


def vetted(result: Result) -> Any:
    """Give the costs of the trees by tree, engine and build, of a `vet --json` that found no error; warnings may be."""
    assert result.code in {0, 1}, f"{result.argv} ended with {result.code}: {result.err}"
    answer = json.loads(result.out)
    assert [line for line in answer["problems"] if line["severity"] == "error"] == []
    assert result.code == (1 if answer["problems"] else 0)
    return answer["trees"]
