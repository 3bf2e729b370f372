from pathlib import Path

from tests.rules.finding import find


def test_limits_for_a_check_that_is_answered_in_words(tmp_path: Path) -> None:
    text = """\
checks:
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
---
engine: v8
title: V8
limits:
  level: {low: {below: 1}, ok: {from: 1}}
"""
    assert find(tmp_path, "limits-without-reading", text) == [
        (
            7,
            3,
            "Check 'level' has no `reading`, so that there is no band to move. Delete these limits.",
            "",
        ),
    ]


def test_limits_for_a_reading(tmp_path: Path) -> None:
    text = """\
checks:
  level: {ask: Level?, hours: 0.1, reading: {unit: mm}, answers: {low: {below: 2}, ok: {from: 2}}}
---
engine: v8
title: V8
limits:
  level: {low: {below: 1}, ok: {from: 1}}
"""
    assert find(tmp_path, "limits-without-reading", text) == []
