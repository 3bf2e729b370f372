"""What a document would add to a library's problems."""

from pathlib import Path

from diagtree.rules.trial import added
from diagtree.source.reader import read

LIBRARY = """\
checks:
  c: {ask: Q, hours: 0.1, answers: {y: Yes, n: No}, given: {default: 5, f: 95}}
---
faults:
  f: {title: F, why: W, repair: [], verify: []}
---
tree: old
title: Old
weights: {f: 1}
start: x
nodes: {x: {outcome: f}}
"""
TREE = "tree: new\ntitle: New\nweights: {f: 1}\nother: 1\nstart: x\nnodes: {x: {outcome: FAULT}}\n"


def rules(tmp_path: Path, tree: str) -> list[str]:
    (tmp_path / "library.yaml").write_text(LIBRARY)
    (tmp_path / "tree.yaml").write_text(tree)
    library = read(str(tmp_path / "library.yaml")).library
    return [problem.rule for problem in added(library, read(str(tmp_path / "tree.yaml")))]


def test_problems_that_stood_before_are_not_counted(tmp_path: Path) -> None:
    """The old tree has no `other`; the new one has nothing wrong with it."""
    assert rules(tmp_path, TREE.replace("FAULT", "f")) == []


def test_problems_with_the_rest_of_the_library_are(tmp_path: Path) -> None:
    assert set(rules(tmp_path, TREE.replace("FAULT", "g"))) == {"unknown-fault", "weight-without-outcome"}


def test_problems_of_form_are(tmp_path: Path) -> None:
    assert "unknown-key" in rules(tmp_path, TREE.replace("FAULT", "f") + "colour: red\n")
