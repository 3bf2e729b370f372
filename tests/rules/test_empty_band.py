from pathlib import Path

from tests.rules.finding import find


def test_ends_the_wrong_way_round_in_a_check_and_in_an_engine(tmp_path: Path) -> None:
    text = """\
checks:
  pressure:
    ask: Pressure?
    hours: 1
    reading: {unit: kPa}
    answers: {low: {below: 100}, ok: {from: 200, below: 100}, high: {from: 200}}
---
engine: v8
title: V8
limits:
  pressure: {low: {below: 50}, ok: {from: 50, below: 50}, high: {from: 50}}
"""
    assert find(tmp_path, "empty-band", text) == [
        (
            6,
            57,
            "No value is from 200 and below 100. Write the lower end in `from`.",
            "",
        ),
        (
            11,
            54,
            "No value is from 50 and below 50. Write the lower end in `from`.",
            "",
        ),
    ]


def test_a_band_that_is_open_at_both_ends_holds_everything(tmp_path: Path) -> None:
    text = """\
checks:
  pressure: {ask: Pressure?, hours: 1, reading: {unit: kPa}, answers: {any: {is: Any}}}
"""
    assert find(tmp_path, "empty-band", text) == []
