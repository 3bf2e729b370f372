from pathlib import Path

from tests.rules.finding import find


def test_the_other_tree_serves_fewer_engines(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
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
    assert find(tmp_path, "onward-not-served", text) == [
        (
            12,
            17,
            (
                "Tree 'sludge' does not serve 'i4', which this tree serves. Let it serve them, or say in "
                "`engines` what this tree serves."
            ),
            "",
        ),
    ]


def test_the_other_tree_serves_more_engines(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
---
engine: i4
title: I4
---
tree: rattle
title: Rattle
engines: [v8]
weights: {sludge: 1}
start: a
nodes:
  a: {continue: sludge}
---
tree: sludge
title: Sludge
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "onward-not-served", text) == []
