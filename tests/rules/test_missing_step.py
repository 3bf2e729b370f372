from pathlib import Path

from tests.rules.finding import find


def test_an_engine_that_the_tree_names_lacks_access_and_repair(tmp_path: Path) -> None:
    text = """\
checks:
  look: {ask: Guide?, hours: 0.2, behind: [covers-off], answers: {good: Whole, bad: Broken}}
---
faults:
  guide: {title: Guide, why: Age., repair: [new-guide], verify: []}
---
engine: v8
title: V8
work:
  covers-off: {title: Covers off, hours: 1}
  new-guide: {title: Guide, hours: 1}
---
engine: i4
title: I4
work:
  cover-off: {title: Cover off, hours: 1}
---
tree: rattle
title: Rattle
engines: [v8, i4]
weights: {guide: 1}
start: a
nodes:
  a: {check: look, then: {good: b, bad: b}}
  b: {outcome: guide}
"""
    assert find(tmp_path, "missing-step", text) == [
        (
            20,
            15,
            (
                "'i4' has no step 'covers-off', which check 'look' needs. Write the step, or take the engine "
                "out of `engines`."
            ),
            "The nearest step is 'cover-off'.",
        ),
        (
            20,
            15,
            (
                "'i4' has no step 'new-guide', which fault 'guide' needs. Write the step, or take the engine "
                "out of `engines`."
            ),
            "The step here is 'cover-off'.",
        ),
    ]


def test_where_the_check_does_not_apply_nothing_is_needed(tmp_path: Path) -> None:
    text = """\
checks:
  look: {ask: Guide?, hours: 0.2, behind: [covers-off], when: {banks: 2}, answers: {good: Whole, bad: Broken}}
---
faults:
  guide: {title: Guide, why: Age., repair: [], verify: []}
---
engine: v8
title: V8
features: {banks: {title: Banks, values: [2]}}
builds: {all: {banks: 2}}
work:
  covers-off: {title: Covers off, hours: 1}
---
engine: i4
title: I4
---
tree: rattle
title: Rattle
engines: [v8, i4]
weights: {guide: 1}
start: a
nodes:
  a: {check: look, then: {good: b, bad: b}, else: b}
  b: {outcome: guide}
"""
    assert find(tmp_path, "missing-step", text) == []
