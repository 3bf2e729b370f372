from pathlib import Path

from tests.rules.finding import find


def test_a_row_that_is_all_zeros_in_numbers_and_in_words(tmp_path: Path) -> None:
    text = """\
checks:
  level:
    ask: Level?
    hours: 0.1
    answers: {low: Low, ok: Right}
    given:
      default: {low: 0, ok: 0.0}
      oil-low: {low: impossible, ok: impossible}
      oil-old: 0
"""
    assert find(tmp_path, "row-of-zeros", text) == [
        (
            7,
            7,
            "Every answer of this row is 0. Say how often each is seen when it is 'default'.",
            "",
        ),
        (
            8,
            7,
            "Every answer of this row is 0. Say how often each is seen when it is 'oil-low'.",
            "",
        ),
    ]


def test_one_answer_that_is_seen_is_enough(tmp_path: Path) -> None:
    text = """\
checks:
  level:
    ask: Level?
    hours: 0.1
    answers: {low: Low, ok: Right}
    given:
      default: {low: 0, ok: 0.1}
"""
    assert find(tmp_path, "row-of-zeros", text) == []
