from pathlib import Path

from tests.rules.finding import find


def test_work_kits_and_checks_take_parts_that_are_not_listed(tmp_path: Path) -> None:
    text = """\
checks:
  cut-filter: {ask: Metal?, hours: 0.2, takes: {oil-fliter: 1}, answers: {metal: Some, none: None}}
---
engine: v8
title: V8
work:
  cover-off: {title: Cover off, hours: 1, takes: {sealent: 1}}
parts:
  sealant: {title: Sealant}
  oil-filter: {title: Oil filter}
kits:
  - {number: K1, title: Kit, price: 9, holds: {oil-filter: 1, chian: 1}}
"""
    assert find(tmp_path, "unknown-part", text) == [
        (
            2,
            49,
            "No engine has a part 'oil-fliter'. Correct the name, or write the part.",
            "The nearest part is 'oil-filter'.",
        ),
        (
            7,
            51,
            "'v8' has no part 'sealent'. Correct the name, or write the part.",
            "The nearest part is 'sealant'.",
        ),
        (
            12,
            63,
            "'v8' has no part 'chian'. Correct the name, or write the part.",
            "The parts here are 'sealant' and 'oil-filter'.",
        ),
    ]


def test_parts_that_stand_are_known(tmp_path: Path) -> None:
    text = """\
checks:
  cut-filter: {ask: Metal?, hours: 0.2, takes: {oil-filter: 1}, answers: {metal: Some, none: None}}
---
engine: v8
title: V8
parts:
  oil-filter: {title: Oil filter}
kits:
  - {number: K1, title: Kit, price: 9, holds: {oil-filter: 1}}
"""
    assert find(tmp_path, "unknown-part", text) == []
