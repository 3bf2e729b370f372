from pathlib import Path

from tests.rules.finding import find


def test_a_fault_and_a_tree_with_its_faults_without_rows(tmp_path: Path) -> None:
    text = """\
checks:
  level:
    ask: Level?
    hours: 0.1
    answers: {low: Low, ok: Right}
    given: {oil-low: {low: 90, ok: 10}, starved: {low: 50, ok: 50}}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
  oil-old: {title: Oil old, why: Late., repair: [], verify: []}
  pickup: {title: Pickup, why: Sludge., repair: [], verify: [], kind-of: starved}
  breather: {title: Breather, why: Sludge., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 1, oil-old: 1, sludge: 1}
start: a
nodes:
  a: {check: level, then: {low: b, ok: c}}
  b: {outcome: [oil-low, oil-old]}
  c: {continue: sludge}
---
tree: sludge
title: Sludge
weights: {pickup: 1, breather: 1}
start: a
nodes:
  a: {outcome: [pickup, breather]}
"""
    assert find(tmp_path, "missing-row", text) == [
        (
            6,
            5,
            (
                "No row says how often each answer is seen with 'oil-old', 'sludge' and 'breather'. Add a "
                "row, or a `default`."
            ),
            "",
        ),
    ]


def test_a_default_row_serves_every_fault(tmp_path: Path) -> None:
    text = """\
checks:
  level:
    ask: Level?
    hours: 0.1
    answers: {low: Low, ok: Right}
    given: {default: {low: 90, ok: 10}}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: level, then: {low: b, ok: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "missing-row", text) == []


def test_a_fault_and_a_check_that_no_build_has_together_need_no_row(tmp_path: Path) -> None:
    text = """\
checks:
  weep:
    ask: Dry?
    hours: 0.1
    when: {pump: external}
    answers: {dry: Dry, wet: Wet}
    given: {outer: {dry: 10, wet: 90}}
---
faults:
  outer: {title: Outer, why: Seal., repair: [], verify: [], when: {pump: external}}
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
weights: {outer: 1, inner: 1}
start: a
nodes:
  a: {check: weep, then: {dry: b, wet: b}, else: b}
  b: {outcome: [outer, inner]}
"""
    assert find(tmp_path, "missing-row", text) == []
