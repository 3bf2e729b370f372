"""The costs of many trees in pieces, over whoever works: here, in processes, on a cluster; to be gone on with."""

import json
from argparse import Namespace
from dataclasses import asdict
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import executors

if TYPE_CHECKING:
    from collections.abc import Iterator

    from diagtree.model.library import Library
    from diagtree.reason.costing import Cost, Task

# Sets of answers that a search may meet where nobody says.
NODES = 200


def costs_in_pieces(library: "Library", args: Namespace) -> "list[Cost] | str":
    """What the trees cost, in file order, the same whoever works; a sentence where they can't be worked out."""
    from diagtree.reason.costing import tasks, work_out
    from diagtree.reason.spreading import LostError, spread

    opening = executors.opening(args)
    if isinstance(opening, str):
        return opening
    pieces = tasks(library, args.nodes or NODES)
    book = _Book(args.resume, _print(library, pieces)) if args.resume else None
    done = book.read(len(pieces)) if book else {}
    if isinstance(done, str):
        return done
    left = [at for at in range(len(pieces)) if at not in done]
    try:
        for place, cost in spread(work_out, [pieces[at] for at in left], opening):
            done[left[place]] = cost
            if book:
                book.write(left[place], cost)
            executors.progress(f"{len(done)} of {len(pieces)}: {pieces[left[place]].tree}")
    except LostError:
        return "The workers were lost again and again. What is done is kept where --resume names a file."
    except OSError as error:
        return f"{args.resume} can't be written ({(error.strerror or 'no reason given').lower()})."
    finally:
        executors.progress("")
    found = (done[at] for at in range(len(pieces)))
    return [cost for cost in found if cost is not None]


def _print(library: "Library", pieces: "tuple[Task, ...]") -> str:
    """A fingerprint of what is worked out: results of another library, or looked for less far, are not mixed in."""
    shown = repr((library.shop, *library.engines.values(), *library.faults.values(), *library.checks.values()))
    asked = repr([(one.tree, one.engine, one.build, one.nodes, library.trees[one.tree]) for one in pieces])
    return sha256(f"{shown}\n{asked}".encode()).hexdigest()


class _Book:
    """A file of results, a line each, under a first line that says what they are of."""

    def __init__(self, path: str, fingerprint: str) -> None:
        self._path, self._head = Path(path), json.dumps({"costs of": fingerprint})

    def read(self, many: int) -> "dict[int, Cost | None] | str":
        """What it holds already; a sentence where that is something else. A line that was cut off is left out."""
        try:
            text = self._path.read_text(encoding="utf-8") if self._path.exists() else ""
        except (OSError, UnicodeDecodeError):
            return f"{self._path} can't be read. Name another file with --resume."
        first, _, rest = text.partition("\n")
        if first and first != self._head:
            return f"{self._path} holds something else, or another library's costs. Name another file with --resume."
        if not rest.endswith("\n"):
            rest = rest.rpartition("\n")[0] + "\n" if "\n" in rest else ""
        found = dict(_lines(rest, many))
        try:
            lines = [self._head, *(self._line(at, cost) for at, cost in found.items())]
            self._path.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
        except OSError as error:
            return f"{self._path} can't be written ({(error.strerror or 'no reason given').lower()})."
        return found

    def write(self, at: int, cost: "Cost | None") -> None:
        """Add a result."""
        with self._path.open("a", encoding="utf-8") as file:
            file.write(f"{self._line(at, cost)}\n")

    def _line(self, at: int, cost: "Cost | None") -> str:
        return json.dumps({"task": at, "cost": asdict(cost) if cost else None})


def _lines(text: str, many: int) -> "Iterator[tuple[int, Cost | None]]":
    from diagtree.reason.costing import Cost

    for line in text.splitlines():
        try:
            data = json.loads(line)
            if 0 <= data["task"] < many:
                yield data["task"], Cost(**data["cost"]) if data["cost"] else None
        except (ValueError, KeyError, TypeError):
            continue  # worked out anew
