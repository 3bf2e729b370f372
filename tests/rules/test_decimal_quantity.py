from pathlib import Path

from tests.rules.finding import find


def test_half_a_gasket_in_work_in_a_kit_and_in_a_check(tmp_path: Path) -> None:
    text = """\
checks:
  look: {ask: Seen?, hours: 0.2, takes: {gasket: 0.5}, answers: {seen: Seen, none: None}}
---
engine: v8
title: V8
features: {rows: {title: Rows, values: [1, 2]}}
builds: {early: {rows: 1}, late: {rows: 2}}
work:
  cover: {title: Cover, hours: 1, takes: {gasket: {rows: {1: 1, 2: 1.5}}, oil: 7.5}}
parts:
  gasket: {title: Gasket, numbers: [{number: A, price: 1}]}
  oil: {title: Oil, unit: l, numbers: [{number: B, price: 1}]}
kits:
  - {number: K, title: Kit, price: 1, holds: {gasket: 2.5}}
"""
    assert find(tmp_path, "decimal-quantity", text) == [
        (
            2,
            50,
            ("Part 'gasket' has no unit, so its quantity is a whole number. Write one, or give the part a `unit`."),
            "",
        ),
        (
            9,
            51,
            ("Part 'gasket' has no unit, so its quantity is a whole number. Write one, or give the part a `unit`."),
            "",
        ),
        (
            14,
            55,
            ("Part 'gasket' has no unit, so its quantity is a whole number. Write one, or give the part a `unit`."),
            "",
        ),
    ]


def test_whole_numbers_may_be_written_with_a_point(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
work:
  cover: {title: Cover, hours: 1, takes: {gasket: 2.0}}
parts:
  gasket: {title: Gasket, numbers: [{number: A, price: 1}]}
"""
    assert find(tmp_path, "decimal-quantity", text) == []
