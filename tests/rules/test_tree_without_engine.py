from pathlib import Path

from tests.rules.finding import find


def test_each_engine_lacks_a_step(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [fill-oil, new-seal, sump-off], verify: []}
---
engine: v8
title: V8
work:
  fill-oil: {title: Fill oil, hours: 0.2}
---
engine: i4
title: I4
work:
  new-seal: {title: Seal, hours: 0.2}
  sump-off: {title: Sump, hours: 2}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "tree-without-engine", text) == [
        (
            15,
            7,
            "No engine has every step that this tree needs. Write those that are missing in one of them.",
            "The nearest engine is 'i4': it lacks 'fill-oil'.",
        ),
    ]


def test_a_step_that_no_engine_has_is_told_by_another_rule(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [fill-oli], verify: []}
---
engine: v8
title: V8
work:
  fill-oil: {title: Fill oil, hours: 0.2}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "tree-without-engine", text) == []
