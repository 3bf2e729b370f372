from pathlib import Path

import pytest

from tests.rules.finding import find

CHECK = """\
checks:
  pressure:
    ask: Pressure?
    hours: 1
    reading: {unit: kPa, uncertainty: 10}
    plausible: RANGE
    answers: {low: {below: 100}, ok: {from: 100}}
"""
ONLY = "a reading of any other answer is refused. Widen it."


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ("{from: 900, to: 0}", "This range goes from 900 down to 0: no reading is in it. Turn it round."),
        ("{from: 5, to: 5}", "This range goes from 5 down to 5: no reading is in it. Turn it round."),
        ("{from: 100, to: 900}", f"Within this range only 'ok' can be read: {ONLY}"),
        ("{to: 99.9}", f"Within this range only 'low' can be read: {ONLY}"),
    ],
)
def test_a_range_that_refuses_what_an_answer_stands_for(given: str, message: str, tmp_path: Path) -> None:
    assert find(tmp_path, "useless-plausible", CHECK.replace("RANGE", given)) == [(6, 5, message, "")]


@pytest.mark.parametrize("given", ["{from: 0, to: 900}", "{to: 100}", "{from: 99}", "{}"])
def test_a_range_that_reaches_into_two_bands_is_right(given: str, tmp_path: Path) -> None:
    """Both of its ends are plausible, and 100 is the first figure of the upper band."""
    assert find(tmp_path, "useless-plausible", CHECK.replace("RANGE", given)) == []


def test_limits_that_an_engine_moves_out_of_the_range(tmp_path: Path) -> None:
    text = CHECK.replace("RANGE", "{from: 0, to: 900}")
    text += "---\nengine: v8\ntitle: V8\nlimits: {pressure: {low: {below: 1000}, ok: {from: 1000}}}\n"
    assert find(tmp_path, "useless-plausible", text) == [
        (6, 5, f"Within this range only 'low' can be read on 'v8': {ONLY}", "")
    ]


def test_a_check_without_a_reading_has_nothing_to_hold_against_it(tmp_path: Path) -> None:
    text = "checks:\n  level: {ask: Level?, hours: 1, plausible: {from: 0, to: 9}, answers: {low: Low, ok: Right}}\n"
    message = "This check is answered without a reading, so that no figure can be held against it. Delete it."
    assert find(tmp_path, "useless-plausible", text) == [(2, 34, message, "")]
