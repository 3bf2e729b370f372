from pathlib import Path

from tests.rules.finding import find


def test_a_check_of_offsets_with_two_patterns(tmp_path: Path) -> None:
    text = """\
checks:
  offsets:
    ask: Offsets?
    hours: 0.1
    offsets: {uncertainty: 2}
    answers: {none: All right, stretched: All late}
"""
    assert find(tmp_path, "offsets-without-mixed", text) == [
        (
            6,
            5,
            "A check of offsets must list `mixed`. Add it: what is seen where no pattern fits.",
            "",
        ),
    ]


def test_a_check_of_offsets_with_mixed(tmp_path: Path) -> None:
    text = """\
checks:
  offsets: {ask: Offsets?, hours: 0.1, offsets: {uncertainty: 2}, answers: {none: All right, mixed: No pattern}}
"""
    assert find(tmp_path, "offsets-without-mixed", text) == []
