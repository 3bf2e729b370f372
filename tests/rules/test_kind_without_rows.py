from pathlib import Path

from tests.rules.finding import find


def test_a_misspelt_kind(tmp_path: Path) -> None:
    text = """\
faults:
  pickup: {title: Pickup, why: Sludge., repair: [], verify: [], kind-of: straved}
---
checks:
  level:
    ask: Level?
    hours: 0.1
    answers: {low: Low, ok: Right}
    given: {default: 5, starved: 50}
"""
    assert find(tmp_path, "kind-without-rows", text) == [
        (
            2,
            74,
            "No check has a row for 'straved', so that it has no effect. Correct the name, or write a row.",
            "The nearest row is 'starved'.",
        ),
    ]


def test_a_kind_with_a_row_in_some_check(tmp_path: Path) -> None:
    text = """\
faults:
  pickup: {title: Pickup, why: Sludge., repair: [], verify: [], kind-of: starved}
---
checks:
  level:
    ask: Level?
    hours: 0.1
    answers: {low: Low, ok: Right}
    given: {default: 5, starved: 50}
"""
    assert find(tmp_path, "kind-without-rows", text) == []
