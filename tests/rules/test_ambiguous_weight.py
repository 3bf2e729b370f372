from pathlib import Path

from tests.rules.finding import find


def test_a_fault_and_a_tree_of_one_id_in_one_tree(tmp_path: Path) -> None:
    text = """\
faults:
  sludge: {title: Sludge, why: Late., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {sludge: 1}
start: a
nodes:
  a: {check: level, then: {low: b, ok: c}}
  b: {outcome: sludge}
  c: {continue: sludge}
"""
    assert find(tmp_path, "ambiguous-weight", text) == [
        (
            11,
            17,
            "'sludge' is both a fault and a tree that this tree ends in. Give one of them another id.",
            "",
        ),
    ]


def test_the_same_id_in_two_kinds_is_no_matter_where_they_do_not_meet(tmp_path: Path) -> None:
    text = """\
faults:
  sludge: {title: Sludge, why: Late., repair: [], verify: []}
---
tree: sludge
title: Sludge
weights: {sludge: 1}
start: b
nodes:
  b: {outcome: sludge}
"""
    assert find(tmp_path, "ambiguous-weight", text) == []
