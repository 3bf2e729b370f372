from pathlib import Path

from tests.rules.finding import find


def test_conditions_amounts_and_builds_name_features_that_the_engine_has_not(tmp_path: Path) -> None:
    text = """\
faults:
  leak: {title: Leak, why: Seal., repair: [], verify: [], when: {pmup: internal}}
---
engine: v8
title: V8
features:
  pump: {title: Pump, values: [internal, external]}
builds:
  early: {pump: internal, chain: roller}
work:
  chain: {title: Chain, hours: 1, when: {chian: roller}, takes: {bolt: {rows: {1: 2}}}}
parts:
  bolt: {title: Bolt, numbers: [{number: B1, price: 1, when: {pum: internal}}]}
kits:
  - {number: K1, title: Kit, price: 9, when: {bank: left}, holds: {bolt: 1}}
---
tree: rattle
title: Rattle
weights: {leak: {fuel: {petrol: 1}}}
start: a
nodes:
  a: {outcome: leak}
"""
    assert find(tmp_path, "unknown-feature", text) == [
        (
            2,
            66,
            "No engine has a feature 'pmup'. Correct the name, or write the feature.",
            "The nearest feature is 'pump'.",
        ),
        (
            9,
            27,
            "'v8' has no feature 'chain'. Correct the name, or write the feature.",
            "The feature here is 'pump'.",
        ),
        (
            11,
            42,
            "'v8' has no feature 'chian'. Correct the name, or write the feature.",
            "The feature here is 'pump'.",
        ),
        (
            11,
            73,
            "'v8' has no feature 'rows'. Correct the name, or write the feature.",
            "The feature here is 'pump'.",
        ),
        (
            13,
            63,
            "'v8' has no feature 'pum'. Correct the name, or write the feature.",
            "The nearest feature is 'pump'.",
        ),
        (
            15,
            47,
            "'v8' has no feature 'bank'. Correct the name, or write the feature.",
            "The feature here is 'pump'.",
        ),
        (
            19,
            18,
            "No engine has a feature 'fuel'. Correct the name, or write the feature.",
            "The feature here is 'pump'.",
        ),
    ]


def test_what_another_engine_has_is_enough_for_a_fault(tmp_path: Path) -> None:
    text = """\
faults:
  leak: {title: Leak, why: Seal., repair: [], verify: [], when: {pump: internal}}
---
engine: v8
title: V8
features: {pump: {title: Pump, values: [internal, external]}}
---
engine: i4
title: I4
"""
    assert find(tmp_path, "unknown-feature", text) == []
