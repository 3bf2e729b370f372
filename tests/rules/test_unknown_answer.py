from pathlib import Path

from tests.rules.finding import find


def test_then_limits_and_never_after_name_answers_that_the_check_has_not(tmp_path: Path) -> None:
    text = """\
checks:
  pressure: {ask: Pressure?, hours: 1, reading: {unit: kPa}, answers: {low: {below: 9}, good: {from: 9}}}
  crank: {ask: Even?, hours: 1, answers: {even: Even, odd: Odd}, never-after: {pressure: [lo]}}
---
engine: v8
title: V8
limits:
  pressure: {low: {below: 8}, goood: {from: 8}}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: pressure, then: {low: b, high: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-answer", text) == [
        (
            3,
            91,
            "Check 'pressure' has no answer 'lo'. Correct the name, or delete it.",
            "The nearest answer is 'low'.",
        ),
        (
            8,
            31,
            "Check 'pressure' has no answer 'goood'. Correct the name, or delete it.",
            "The nearest answer is 'good'.",
        ),
        (
            15,
            39,
            "Check 'pressure' has no answer 'high'. Correct the name, or delete it.",
            "The answers here are 'low' and 'good'.",
        ),
    ]


def test_a_check_that_is_not_known_at_all_has_its_own_problem(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: pressure, then: {low: b, high: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-answer", text) == []
