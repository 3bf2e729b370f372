from pathlib import Path

from tests.rules.finding import find


def test_answers_below_one_that_matches_anything_or_more(tmp_path: Path) -> None:
    text = """\
checks:
  stored:
    ask: Codes?
    hours: 0.1
    codes: true
    answers:
      bank-1: [[P0016, P0017]]
      both: [[P0016], [P0018]]
      none: []
      bank-2: [[P0018]]
"""
    assert find(tmp_path, "shadowed-codes", text) == [
        (
            8,
            7,
            "'bank-1' further up matches whenever this does, so that it is never given. Move it up.",
            "",
        ),
        (
            10,
            7,
            "'none' further up matches whenever this does, so that it is never given. Move it up.",
            "",
        ),
    ]


def test_the_narrower_first(tmp_path: Path) -> None:
    text = """\
checks:
  stored:
    ask: Codes?
    hours: 0.1
    codes: true
    answers:
      both: [[P0016, P0017], [P0018]]
      bank-1: [[P0016, P0017]]
      bank-2: [[P0018]]
      none: []
"""
    assert find(tmp_path, "shadowed-codes", text) == []
