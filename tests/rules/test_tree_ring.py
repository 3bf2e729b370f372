from pathlib import Path

from tests.rules.finding import find


def test_two_trees_that_go_on_in_one_another(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {sludge: 1}
start: a
nodes:
  a: {continue: sludge}
---
tree: sludge
title: Sludge
weights: {rattle: 1}
start: b
nodes:
  b: {continue: rattle}
"""
    assert find(tmp_path, "tree-ring", text) == [
        (
            13,
            17,
            (
                "These trees go on in one another in a ring: 'rattle' -> 'sludge' -> 'rattle'. End one of "
                "them in an outcome."
            ),
            "",
        ),
    ]


def test_two_trees_that_go_on_in_a_third(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {sludge: 1}
start: a
nodes:
  a: {continue: sludge}
---
tree: guide
title: Guide
weights: {sludge: 1}
start: a
nodes:
  a: {continue: sludge}
---
tree: sludge
title: Sludge
weights: {oil-low: 1}
start: b
nodes:
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "tree-ring", text) == []
