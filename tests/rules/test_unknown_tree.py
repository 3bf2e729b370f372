from pathlib import Path

from tests.rules.finding import find


def test_a_continue_to_a_misspelt_tree(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {sluge: 1}
start: over
nodes:
  over: {continue: sluge}
---
tree: sludge
title: Sludge
weights: {oil-low: 1}
start: low
nodes:
  low: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-tree", text) == [
        (
            6,
            20,
            "No tree is called 'sluge'. Correct the name, or write the tree.",
            "The nearest tree is 'sludge'.",
        ),
    ]


def test_a_tree_that_stands_is_known(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {sludge: 1}
start: over
nodes:
  over: {continue: sludge}
---
tree: sludge
title: Sludge
weights: {oil-low: 1}
start: low
nodes:
  low: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-tree", text) == []
