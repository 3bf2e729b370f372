from pathlib import Path

from tests.rules.finding import find


def test_a_build_without_the_pump_can_be_led_to_it(tmp_path: Path) -> None:
    text = """\
checks:
  plate: {ask: Crackles?, hours: 0.1, answers: {'yes': Crackles, 'no': Quiet}}
---
faults:
  inner: {title: Inner, why: Seal., repair: [], verify: [], when: {pump: internal}}
  quiet: {title: Quiet, why: None., repair: [], verify: []}
---
engine: v8
title: V8
features: {pump: {title: Pump, values: [internal, external]}}
builds:
  early: {pump: external}
  late: {pump: internal}
---
tree: sludge
title: Sludge
weights: {inner: 1, quiet: 1}
start: a
nodes:
  a: {check: plate, then: {'yes': b, 'no': c}}
  b: {outcome: inner}
  c: {outcome: [inner, quiet]}
"""
    assert find(tmp_path, "outcome-without-fault", text) == [
        (
            21,
            16,
            (
                "This outcome can be reached in build 'early' of 'v8', which can have none of its faults. "
                "Lead it elsewhere."
            ),
            "",
        ),
    ]


def test_the_check_that_leads_there_does_not_apply_to_that_build(tmp_path: Path) -> None:
    text = """\
checks:
  plate: {ask: Crackles?, hours: 0.1, when: {pump: internal}, answers: {'yes': Crackles, 'no': Quiet}}
---
faults:
  inner: {title: Inner, why: Seal., repair: [], verify: [], when: {pump: internal}}
  quiet: {title: Quiet, why: None., repair: [], verify: []}
---
engine: v8
title: V8
features: {pump: {title: Pump, values: [internal, external]}}
builds:
  early: {pump: external}
  late: {pump: internal}
---
tree: sludge
title: Sludge
weights: {inner: 1, quiet: 1}
start: a
nodes:
  a: {check: plate, then: {'yes': b, 'no': c}, else: c}
  b: {outcome: inner}
  c: {outcome: quiet}
"""
    assert find(tmp_path, "outcome-without-fault", text) == []


def test_an_answer_known_from_further_up_keeps_the_build_away(tmp_path: Path) -> None:
    text = """\
checks:
  plate: {ask: Crackles?, hours: 0.1, answers: {'yes': Crackles, 'no': Quiet}}
---
faults:
  inner: {title: Inner, why: Seal., repair: [], verify: [], when: {pump: internal}}
  quiet: {title: Quiet, why: None., repair: [], verify: []}
---
engine: v8
title: V8
features: {pump: {title: Pump, values: [internal, external]}}
builds:
  early: {pump: external}
  late: {pump: internal}
---
tree: sludge
title: Sludge
weights: {inner: 1, quiet: 1}
start: a
nodes:
  a: {check: plate, then: {'yes': b, 'no': c}}
  b: {outcome: quiet}
  c: {check: plate, then: {'yes': d, 'no': b}}
  d: {outcome: inner}
"""
    assert find(tmp_path, "outcome-without-fault", text) == []


def test_an_answer_that_could_not_be_had_can_be_given_further_down(tmp_path: Path) -> None:
    text = """\
checks:
  plate: {ask: Crackles?, hours: 0.1, answers: {'yes': Crackles, 'no': Quiet}}
---
faults:
  inner: {title: Inner, why: Seal., repair: [], verify: [], when: {pump: internal}}
  quiet: {title: Quiet, why: None., repair: [], verify: []}
---
engine: v8
title: V8
features: {pump: {title: Pump, values: [internal, external]}}
builds:
  early: {pump: external}
---
tree: sludge
title: Sludge
weights: {inner: 1, quiet: 1}
start: a
nodes:
  a: {check: plate, then: {'yes': b, 'no': c}, else: c}
  b: {outcome: quiet}
  c: {check: plate, then: {'yes': d, 'no': b}}
  d: {outcome: inner}
"""
    assert find(tmp_path, "outcome-without-fault", text) == [
        (
            22,
            16,
            (
                "This outcome can be reached in build 'early' of 'v8', which can have none of its faults. "
                "Lead it elsewhere."
            ),
            "",
        ),
    ]
