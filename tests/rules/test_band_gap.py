from pathlib import Path

from tests.rules.finding import find


def test_gaps_between_below_and_above(tmp_path: Path) -> None:
    text = """\
checks:
  between: {ask: P?, hours: 1, reading: {unit: kPa}, answers: {low: {below: 100}, ok: {from: 110}}}
  below: {ask: P?, hours: 1, reading: {unit: kPa}, answers: {low: {from: 0, below: 100}, ok: {from: 100}}}
  above: {ask: P?, hours: 1, reading: {unit: kPa}, answers: {ok: {from: 100, below: 900}, low: {below: 100}}}
"""
    assert find(tmp_path, "band-gap", text) == [
        (
            2,
            94,
            "No answer holds a reading from 100 to 110. Let the bands meet.",
            "",
        ),
        (
            3,
            74,
            "No answer holds a reading below 0. Let the bands meet.",
            "",
        ),
        (
            4,
            85,
            "No answer holds a reading from 900 up. Leave `below` out in the highest band, or add one.",
            "",
        ),
    ]


def test_an_engine_that_moves_only_some_of_the_bands(tmp_path: Path) -> None:
    text = """\
checks:
  pressure: {ask: P?, hours: 1, reading: {unit: kPa}, answers: {low: {below: 100}, ok: {from: 100}}}
---
engine: v8
title: V8
limits:
  pressure: {low: {below: 50}}
"""
    assert find(tmp_path, "band-gap", text) == [
        (
            7,
            3,
            "These limits replace all bands of the check and leave out 'ok'. Add what is missing.",
            "",
        ),
    ]


def test_bands_in_any_order_that_meet(tmp_path: Path) -> None:
    text = """\
checks:
  pressure:
    ask: Pressure?
    hours: 1
    reading: {unit: kPa}
    answers: {high: {from: 200}, low: {below: 100}, ok: {from: 100, below: 200}}
"""
    assert find(tmp_path, "band-gap", text) == []
