from pathlib import Path

from tests.rules.finding import find


def test_a_served_engine_lacks_the_part_that_a_check_takes(tmp_path: Path) -> None:
    text = """\
checks:
  cut-filter: {ask: Metal?, hours: 0.2, takes: {oil-filter: 1}, answers: {metal: Some, none: None}}
---
engine: v8
title: V8
parts:
  oil-filter: {title: Oil filter, numbers: [{number: A, price: 1}]}
---
engine: i4
title: I4
parts:
  oil-fliter: {title: Oil filter, numbers: [{number: A, price: 1}]}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: cut-filter, then: {metal: b, none: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "missing-part", text) == [
        (
            2,
            49,
            (
                "No part 'oil-filter' stands in 'i4', where this check is used. Write the part there, or say "
                "`when` the check applies."
            ),
            "The nearest part is 'oil-fliter'.",
        ),
    ]


def test_a_part_that_no_engine_has_is_told_by_another_rule(tmp_path: Path) -> None:
    text = """\
checks:
  cut-filter: {ask: Metal?, hours: 0.2, takes: {oil-filter: 1}, answers: {metal: Some, none: None}}
---
engine: v8
title: V8
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: cut-filter, then: {metal: b, none: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "missing-part", text) == []
