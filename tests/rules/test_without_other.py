from pathlib import Path

from tests.rules.finding import find


def test_a_tree_that_says_nothing_of_other_causes(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "without-other", text) == [
        (
            3,
            1,
            "This tree has no `other`: a cause that is not in it is never believed. Add its weight, 0 if so.",
            "",
        ),
    ]


def test_none_is_meant(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-low: 1}
other: 0
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "without-other", text) == []
