from pathlib import Path

from tests.rules.finding import find


def test_a_build_that_can_have_the_fault_excludes_all_its_steps(tmp_path: Path) -> None:
    text = """\
faults:
  pump-leak: {title: Pump leaks, why: Seal., repair: [inner-pump], verify: []}
  no-work: {title: Nothing, why: Nothing., repair: [], verify: []}
---
engine: v8
title: V8
features: {pump: {title: Pump, values: [internal, external]}}
builds:
  early: {pump: external}
  late: {pump: internal}
work:
  inner-pump: {title: Pump, hours: 1, when: {pump: internal}}
---
tree: rattle
title: Rattle
weights: {pump-leak: 1, no-work: 1}
start: a
nodes:
  a: {outcome: [pump-leak, no-work]}
"""
    assert find(tmp_path, "repair-left-empty", text) == [
        (
            2,
            46,
            (
                "No step of this repair is left in build 'early' of 'v8'. Add a step for it, or say in the "
                "fault's `when` which builds can have it."
            ),
            "",
        ),
    ]


def test_the_fault_says_which_builds_can_have_it(tmp_path: Path) -> None:
    text = """\
faults:
  pump-leak: {title: Pump leaks, why: Seal., repair: [inner-pump], verify: [], when: {pump: internal}}
---
engine: v8
title: V8
features: {pump: {title: Pump, values: [internal, external]}}
builds:
  early: {pump: external}
  late: {pump: internal}
work:
  inner-pump: {title: Pump, hours: 1, when: {pump: internal}}
---
tree: rattle
title: Rattle
weights: {pump-leak: 1}
start: a
nodes:
  a: {outcome: pump-leak}
"""
    assert find(tmp_path, "repair-left-empty", text) == []
