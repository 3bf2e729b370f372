from pathlib import Path

from tests.rules.finding import find


def test_a_node_that_asks_a_misspelt_check_is_told_the_nearest(tmp_path: Path) -> None:
    text = """\
checks:
  oil-level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: level
nodes:
  level: {check: oil-levle, then: {low: low, ok: low}}
  low: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-check", text) == [
        (
            9,
            18,
            "No check is called 'oil-levle'. Correct the name, or write the check.",
            "The nearest check is 'oil-level'.",
        ),
    ]


def test_never_after_and_limits_name_checks_too(tmp_path: Path) -> None:
    text = """\
checks:
  oil-level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}, never-after: {offsets: [none]}}
---
engine: v8
title: V8
limits:
  pressure: {low: {below: 5}}
"""
    assert find(tmp_path, "unknown-check", text) == [
        (
            2,
            86,
            "No check is called 'offsets'. Correct the name, or write the check.",
            "The check here is 'oil-level'.",
        ),
        (
            7,
            3,
            "No check is called 'pressure'. Correct the name, or write the check.",
            "The check here is 'oil-level'.",
        ),
    ]


def test_a_check_that_stands_but_could_not_be_read_is_not_reported_again(tmp_path: Path) -> None:
    text = """\
checks:
  oil-level: {ask: Level?, answers: {low: Low, ok: Right}}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: level
nodes:
  level: {check: oil-level, then: {low: low, ok: low}}
  low: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-check", text) == []
