from pathlib import Path

from tests.rules.finding import find


def test_an_outcome_and_a_weight_with_misspelt_faults(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
  oil-old: {title: Oil old, why: Late., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 1, oil-odl: 2}
start: low
nodes:
  low: {outcome: [oil-low, oil-lwo]}
"""
    assert find(tmp_path, "unknown-fault", text) == [
        (
            7,
            23,
            "No fault is called 'oil-odl'. Correct the name, or write the fault.",
            "The nearest fault is 'oil-old'.",
        ),
        (
            10,
            28,
            "No fault is called 'oil-lwo'. Correct the name, or write the fault.",
            "The nearest fault is 'oil-low'.",
        ),
    ]


def test_an_outcome_of_one_fault_is_shown_at_its_name(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-lwo: 1}
start: low
nodes:
  low: {outcome: oil-lwo}
"""
    assert find(tmp_path, "unknown-fault", text) == [
        (
            6,
            18,
            "No fault is called 'oil-lwo'. Correct the name, or write the fault.",
            "",
        ),
    ]


def test_a_fault_that_stands_is_known(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: low
nodes:
  low: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-fault", text) == []
