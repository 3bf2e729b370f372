from pathlib import Path

from tests.rules.finding import find


def test_bands_that_share_values(tmp_path: Path) -> None:
    text = """\
checks:
  some: {ask: P?, hours: 1, reading: {unit: kPa}, answers: {low: {below: 110}, ok: {from: 100}}}
  inside: {ask: P?, hours: 1, reading: {unit: kPa}, answers: {any: {is: Any}, ok: {from: 100, below: 200}}}
  same: {ask: P?, hours: 1, reading: {unit: kPa}, answers: {low: {is: Any}, ok: {is: Any}}}
"""
    assert find(tmp_path, "band-overlap", text) == [
        (
            2,
            91,
            "A reading from 100 to 110 is both 'low' and 'ok'. Let the bands meet in one number.",
            "",
        ),
        (
            3,
            90,
            "A reading from 100 to 200 is both 'any' and 'ok'. Let the bands meet in one number.",
            "",
        ),
        (
            4,
            81,
            "A reading of any size is both 'low' and 'ok'. Let the bands meet in one number.",
            "",
        ),
    ]


def test_bands_that_meet_share_nothing(tmp_path: Path) -> None:
    text = """\
checks:
  pressure: {ask: P?, hours: 1, reading: {unit: kPa}, answers: {low: {below: 100}, ok: {from: 100}}}
"""
    assert find(tmp_path, "band-overlap", text) == []
