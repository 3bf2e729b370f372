from pathlib import Path

from tests.rules.finding import find


def test_a_build_of_a_served_engine_excludes_the_check(tmp_path: Path) -> None:
    text = """\
checks:
  weep: {ask: Dry?, hours: 0.1, when: {pump: external}, answers: {dry: Dry, wet: Wet}}
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
weights: {oil-low: 1}
start: a
nodes:
  a: {check: weep, then: {dry: b, wet: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "missing-else", text) == [
        (
            16,
            14,
            "Check 'weep' does not apply to build 'late' of 'v8'. Add an `else` that says what follows.",
            "",
        ),
    ]


def test_an_engine_that_the_tree_does_not_serve_asks_for_nothing(tmp_path: Path) -> None:
    text = """\
checks:
  weep: {ask: Dry?, hours: 0.1, when: {pump: external}, answers: {dry: Dry, wet: Wet}}
---
engine: v8
title: V8
features: {pump: {title: Pump, values: [internal, external]}}
builds:
  early: {pump: external}
---
engine: i4
title: I4
---
tree: rattle
title: Rattle
engines: [v8]
weights: {oil-low: 1}
start: a
nodes:
  a: {check: weep, then: {dry: b, wet: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "missing-else", text) == []
