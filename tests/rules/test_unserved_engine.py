from pathlib import Path

from tests.rules.finding import find


def test_one_engine_lacks_a_step_that_the_tree_it_goes_on_in_needs(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [fill-oil], verify: []}
---
engine: v8
title: V8
work:
  fill-oil: {title: Fill oil, hours: 0.2}
---
engine: i4
title: I4
---
tree: rattle
title: Rattle
weights: {sludge: 1}
start: a
nodes:
  a: {continue: sludge}
---
tree: sludge
title: Sludge
engines: [v8]
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "unserved-engine", text) == [
        (
            12,
            7,
            (
                "This tree does not serve 'i4', which lacks 'fill-oil'. Write the missing work there, or say "
                "in `engines` what the tree serves."
            ),
            "",
        ),
    ]


def test_a_tree_that_says_what_it_serves_means_it(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [fill-oil], verify: []}
---
engine: v8
title: V8
work:
  fill-oil: {title: Fill oil, hours: 0.2}
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
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "unserved-engine", text) == []
