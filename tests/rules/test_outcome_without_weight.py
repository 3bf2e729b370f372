from pathlib import Path

from tests.rules.finding import find


def test_a_fault_and_a_tree_that_the_tree_ends_in(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
  oil-old: {title: Oil old, why: Late., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: level, then: {low: b, ok: c}, else: d}
  b: {outcome: [oil-low, oil-old]}
  c: {continue: sludge}
  d: {outcome: oil-old}
---
tree: sludge
title: Sludge
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "outcome-without-weight", text) == [
        (
            11,
            26,
            "'oil-old' has no weight in this tree. Add it to `weights`: how often is it behind this complaint?",
            "",
        ),
        (
            12,
            17,
            "'sludge' has no weight in this tree. Add it to `weights`: how often is it behind this complaint?",
            "",
        ),
    ]


def test_a_misspelt_weight_is_one_mistake_and_is_told_by_another_rule(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-lwo: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "outcome-without-weight", text) == []
