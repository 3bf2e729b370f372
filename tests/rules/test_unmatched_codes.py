from pathlib import Path

from tests.rules.finding import find


def test_no_answer_for_other_codes(tmp_path: Path) -> None:
    text = """\
checks:
  stored:
    ask: Codes?
    hours: 0.1
    codes: true
    answers: {bank-1: [[P0016, P0017]], bank-2: [[P0018]]}
"""
    assert find(tmp_path, "unmatched-codes", text) == [
        (
            6,
            5,
            "A car with other codes, or with none, has no answer here. Add a last answer `[]`.",
            "",
        ),
    ]


def test_an_answer_that_matches_anything(tmp_path: Path) -> None:
    text = """\
checks:
  stored: {ask: Codes?, hours: 0.1, codes: true, answers: {bank-1: [[P0016, P0017]], none: []}}
"""
    assert find(tmp_path, "unmatched-codes", text) == []
