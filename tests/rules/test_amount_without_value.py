from pathlib import Path

from tests.rules.finding import find


def test_work_checks_and_weights_that_say_nothing_for_a_build(tmp_path: Path) -> None:
    text = """\
checks:
  bolt: {ask: Tight?, hours: 0.1, takes: {bolt: {rows: {1: 1}}}, answers: {tight: Tight, loose: Loose}}
---
faults:
  worn: {title: Worn, why: Age., repair: [], verify: []}
---
engine: v8
title: V8
features: {rows: {title: Rows, values: [1, 2]}}
builds:
  early: {rows: 1}
  late: {rows: 2}
  none: {}
work:
  chain: {title: Chain, hours: 1, takes: {bolt: {rows: {1: 2}}}}
  single: {title: Single, hours: 1, when: {rows: 1}, takes: {bolt: {rows: {1: 2}}}}
parts:
  bolt: {title: Bolt, numbers: [{number: A, price: 1}]}
---
tree: rattle
title: Rattle
weights: {worn: {rows: {2: 5}}}
start: a
nodes:
  a: {check: bolt, then: {tight: b, loose: b}}
  b: {outcome: worn}
"""
    assert find(tmp_path, "amount-without-value", text) == [
        (
            2,
            49,
            "This says nothing for build 'late' of 'v8' and build 'none' of 'v8'. Add its value of 'rows'.",
            "",
        ),
        (
            15,
            49,
            "This says nothing for build 'late' of 'v8' and build 'none' of 'v8'. Add its value of 'rows'.",
            "",
        ),
        (
            22,
            17,
            "This says nothing for build 'early' of 'v8' and build 'none' of 'v8'. Add its value of 'rows'.",
            "",
        ),
    ]


def test_every_admitted_build_has_its_number(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
features: {rows: {title: Rows, values: [1, 2]}}
builds:
  early: {rows: 1}
  late: {rows: 2}
work:
  chain: {title: Chain, hours: 1, takes: {bolt: {rows: {1: 2, 2: 4}}}}
parts:
  bolt: {title: Bolt, numbers: [{number: A, price: 1}]}
"""
    assert find(tmp_path, "amount-without-value", text) == []
