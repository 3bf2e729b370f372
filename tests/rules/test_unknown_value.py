from pathlib import Path

from tests.rules.finding import find


def test_conditions_amounts_and_builds_name_values_that_the_feature_has_not(tmp_path: Path) -> None:
    text = """\
checks:
  weep: {ask: Dry?, hours: 0.1, when: {pump: extrenal}, answers: {dry: Dry, wet: Wet}}
---
cautions:
  coolant: {say: Coolant is hot., when: {pump: [internal, inside]}}
---
engine: v8
title: V8
features:
  pump: {title: Pump, values: [internal, external]}
  rows: {title: Rows, values: [1, 2]}
builds:
  early: {pump: intern, rows: 1}
work:
  chain: {title: Chain, hours: 1, takes: {bolt: {rows: {1: 2, 3: 4}}}}
parts:
  bolt: {title: Bolt}
"""
    assert find(tmp_path, "unknown-value", text) == [
        (
            2,
            46,
            "Feature 'pump' has no value 'extrenal'. Correct it, or add it to the feature's `values`.",
            "The nearest value is 'external'.",
        ),
        (
            5,
            59,
            "Feature 'pump' has no value 'inside'. Correct it, or add it to the feature's `values`.",
            "The values here are 'internal' and 'external'.",
        ),
        (
            13,
            17,
            "Feature 'pump' has no value 'intern'. Correct it, or add it to the feature's `values`.",
            "The nearest value is 'internal'.",
        ),
        (
            15,
            63,
            "Feature 'rows' has no value '3'. Correct it, or add it to the feature's `values`.",
            "The values here are '1' and '2'.",
        ),
    ]


def test_numbers_are_compared_as_text(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
features:
  rows: {title: Rows, values: [1, "2"]}
builds:
  early: {rows: "1"}
  late: {rows: 2}
"""
    assert find(tmp_path, "unknown-value", text) == []
