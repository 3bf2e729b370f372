from pathlib import Path

from tests.rules.finding import find


def test_a_question_that_leads_back_to_an_earlier_one(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: level, then: {low: b, ok: c}}
  b: {outcome: oil-low}
  c: {check: soak, then: {'yes': b, 'no': d}}
  d: {check: look, then: {good: b, bad: b}, else: a}
"""
    assert find(tmp_path, "question-ring", text) == [
        (
            9,
            51,
            "These questions lead in a ring: 'a' -> 'c' -> 'd' -> 'a'. Lead one of their answers elsewhere.",
            "",
        ),
    ]


def test_a_question_that_leads_to_itself(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: level, then: {low: b, ok: a}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "question-ring", text) == [
        (
            6,
            40,
            "These questions lead in a ring: 'a' -> 'a'. Lead one of their answers elsewhere.",
            "",
        ),
    ]


def test_paths_that_join_are_no_ring(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: level, then: {low: b, ok: c}}
  b: {check: soak, then: {'yes': c, 'no': c}}
  c: {outcome: oil-low}
"""
    assert find(tmp_path, "question-ring", text) == []
