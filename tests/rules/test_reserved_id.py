from pathlib import Path

from tests.rules.finding import find


def test_a_fault_a_kind_and_a_tree(tmp_path: Path) -> None:
    text = """\
faults:
  other: {title: Other, why: Unknown., repair: [], verify: []}
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: [], kind-of: default}
---
tree: default
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "reserved-id", text) == [
        (
            2,
            3,
            "The id 'other' has a meaning of its own in weights and tables. Choose another.",
            "",
        ),
        (
            3,
            75,
            "The id 'default' has a meaning of its own in weights and tables. Choose another.",
            "",
        ),
        (
            5,
            7,
            "The id 'default' has a meaning of its own in weights and tables. Choose another.",
            "",
        ),
    ]


def test_a_tree_s_weight_for_another_cause_is_written_so(tmp_path: Path) -> None:
    text = """\
faults:
  another: {title: Other, why: Unknown., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {another: 1}
other: 5
start: a
nodes:
  a: {outcome: another}
"""
    assert find(tmp_path, "reserved-id", text) == []
