from pathlib import Path

from tests.rules.finding import find


def test_two_answers_lead_nowhere(tmp_path: Path) -> None:
    text = """\
checks:
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right, high: Too high}}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: level, then: {low: b}, else: b}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "missing-answer", text) == [
        (
            9,
            21,
            "`then` names no node for 'ok' and 'high' of check 'level'. Add what follows.",
            "",
        ),
    ]


def test_a_misspelt_answer_is_one_mistake_and_is_told_by_another_rule(tmp_path: Path) -> None:
    text = """\
checks:
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: level, then: {lwo: b, ok: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "missing-answer", text) == []
