"""A tree of three thousand questions in a row: long beyond use, and no reason to fall over."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

MANY = 3000
HEAD = """
shop: s
name: S
currency: EUR
labour-rate: 50
tax: 0
goodwill: 10
---
engine: e
title: E
work: {w: {title: W, hours: 1}}
---
faults:
  a: {title: A, why: W, repair: [w], verify: [V.]}
  b: {title: B, why: W, repair: [], verify: [V.]}
---
checks:
"""
TREE = "---\ntree: t\ntitle: T\nweights: {a: 1, b: 1}\nother: 0\nstart: n0\nnodes:\n"


@pytest.fixture(scope="module")
def deep(tmp_path_factory: pytest.TempPathFactory) -> Path:
    checks = [
        f"  c{at}: {{ask: Q, hours: 0.1, answers: {{y: Y, n: N}}, given: {{a: 40, b: 60}}}}\n" for at in range(MANY)
    ]
    nodes = [f"  n{at}: {{check: c{at}, then: {{y: n{at + 1}, n: end}}}}\n" for at in range(MANY)]
    path = tmp_path_factory.mktemp("deep") / "lib.yaml"
    path.write_text(
        HEAD + "".join(checks) + TREE + "".join(nodes) + f"  n{MANY}: {{outcome: a}}\n  end: {{outcome: b}}\n"
    )
    return path


@pytest.mark.parametrize("command", [["walk", "t"], ["vet", "--seconds", "1"]])
def test_no_command_falls_over(deep: Path, command: list[str]) -> None:
    argv = [sys.executable, "-m", "diagtree", *command, "--library", str(deep), "--json"]
    done = subprocess.run(argv, input="", capture_output=True, text=True, check=False, timeout=300)
    assert done.returncode in {0, 1}, done.stderr
    assert "Traceback" not in done.stderr
    assert json.loads(done.stdout)
