from pathlib import Path

from tests.rules.finding import find


def test_a_row_for_nothing_that_is_known(tmp_path: Path) -> None:
    text = """\
checks:
  level:
    ask: Level?
    hours: 0.1
    answers: {low: Low, ok: Right}
    given:
      default: {low: 5, ok: 95}
      oil-lwo: {low: 90, ok: 10}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
"""
    assert find(tmp_path, "unknown-row", text) == [
        (
            8,
            7,
            (
                "No fault, tree or `kind-of` is called 'oil-lwo', so this row is never used. Correct the "
                "name, or delete the row."
            ),
            "The nearest name is 'oil-low'.",
        ),
    ]


def test_rows_for_faults_kinds_trees_and_default_are_known(tmp_path: Path) -> None:
    text = """\
checks:
  level:
    ask: Level?
    hours: 0.1
    answers: {low: Low, ok: Right}
    given: {default: 5, oil-low: 90, starved: 50, sludge: 20}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: [], kind-of: starved}
---
tree: sludge
title: Sludge
weights: {oil-low: 1}
start: low
nodes:
  low: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-row", text) == []
