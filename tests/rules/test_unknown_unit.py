from pathlib import Path

from tests.rules.finding import find


def test_a_reading_the_shop_and_a_tightening_in_units_that_nobody_knows(tmp_path: Path) -> None:
    text = """\
shop: lane
name: Lane
currency: EUR
labour-rate: 95
tax: 20
goodwill: 600
units: [kPa, newtonmetres-ish]
---
checks:
  pressure: {ask: P?, hours: 1, reading: {unit: kpascal}, answers: {low: {below: 9}, ok: {from: 9}}}
---
engine: v8
title: V8
work:
  cover: {title: Cover, hours: 1, torque: [{bolts: Cover, steps: [10 N m, tight]}]}
"""
    assert find(tmp_path, "unknown-unit", text) == [
        (
            7,
            14,
            "The unit 'newtonmetres-ish' is not known. Write one such as kPa, bar, psi, mm, N m or lbf ft.",
            "",
        ),
        (
            15,
            75,
            ("'tight' does not start with a number. Write it as 10 N m, 30 lbf ft, 180 deg, or -360 deg to loosen."),
            "",
        ),
    ]


def test_units_that_are_known(tmp_path: Path) -> None:
    text = """\
checks:
  pressure: {ask: P?, hours: 1, reading: {unit: bar}, answers: {low: {below: 9}, ok: {from: 9}}}
---
engine: v8
title: V8
work:
  cover: {title: Cover, hours: 1, torque: [{bolts: Cover, steps: [89 lbf in, 90 deg]}]}
"""
    assert find(tmp_path, "unknown-unit", text) == []
