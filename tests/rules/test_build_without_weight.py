from pathlib import Path

from tests.rules.finding import find


def test_one_build_has_no_fault_with_a_weight(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
  inner: {title: Inner, why: Seal., repair: [], verify: [], when: {pump: internal}}
---
engine: v8
title: V8
features: {pump: {title: Pump, values: [internal, external]}}
builds:
  early: {pump: external}
  late: {pump: internal}
---
tree: rattle
title: Rattle
weights: {oil-low: 0, inner: 2}
other: 0
start: a
nodes:
  a: {outcome: [oil-low, inner]}
"""
    assert find(tmp_path, "build-without-weight", text) == [
        (
            14,
            1,
            ("Every weight is 0 in build 'early' of 'v8'. Give a fault that it can have a weight, or write `other`."),
            "",
        ),
    ]


def test_another_cause_is_something_to_believe_in(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 0}
other: 1
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "build-without-weight", text) == []
