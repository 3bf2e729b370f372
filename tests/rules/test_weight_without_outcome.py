from pathlib import Path

from tests.rules.finding import find


def test_a_fault_and_a_tree_that_the_tree_never_ends_in(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
  oil-old: {title: Oil old, why: Late., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 1, oil-old: 2, sludge: 3}
start: a
nodes:
  a: {outcome: oil-low}
---
tree: sludge
title: Sludge
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "weight-without-outcome", text) == [
        (
            7,
            23,
            "Fault 'oil-old' has a weight but is no outcome of this tree. Add an outcome, or take it out.",
            "",
        ),
        (
            7,
            35,
            "Tree 'sludge' has a weight but no node goes on in it. Add a `continue`, or take it out.",
            "",
        ),
    ]


def test_a_misspelt_outcome_is_one_mistake_and_is_told_by_another_rule(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-lwo}
"""
    assert find(tmp_path, "weight-without-outcome", text) == []
