from pathlib import Path

from tests.rules.finding import find


def test_a_band_narrower_than_twice_the_uncertainty_in_a_check_and_in_an_engine(tmp_path: Path) -> None:
    text = """\
checks:
  pressure:
    ask: Pressure?
    hours: 1
    reading: {unit: kPa, uncertainty: 10}
    answers: {low: {below: 100}, fair: {from: 100, below: 119.5}, ok: {from: 119.5}}
---
engine: v8
title: V8
limits:
  pressure: {low: {below: 50}, fair: {from: 50, below: 60}, ok: {from: 60}}
"""
    assert find(tmp_path, "narrow-band", text) == [
        (
            6,
            34,
            (
                "This band is 19.5 kPa wide, less than twice the uncertainty of 10, so that no reading in it "
                "is clear. Widen it, or use a better gauge."
            ),
            "",
        ),
        (
            11,
            32,
            (
                "This band is 10 kPa wide, less than twice the uncertainty of 10, so that no reading in it is "
                "clear. Widen it, or use a better gauge."
            ),
            "",
        ),
    ]


def test_a_band_of_just_that_width_can_be_clear(tmp_path: Path) -> None:
    text = """\
checks:
  pressure:
    ask: Pressure?
    hours: 1
    reading: {unit: kPa, uncertainty: 10}
    answers: {low: {below: 100}, fair: {from: 100, below: 120}, ok: {from: 120}}
"""
    assert find(tmp_path, "narrow-band", text) == []
