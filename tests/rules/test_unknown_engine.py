from pathlib import Path

from tests.rules.finding import find


def test_a_tree_for_an_engine_that_is_not_there(tmp_path: Path) -> None:
    text = """\
engine: brennick-v8
title: V8
---
tree: rattle
title: Rattle
engines: [brennick-v8, brennick-i4]
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-engine", text) == [
        (
            6,
            24,
            "No engine is called 'brennick-i4'. Correct the name, or write the engine.",
            "The nearest engine is 'brennick-v8'.",
        ),
    ]


def test_a_tree_for_an_engine_that_is_there(tmp_path: Path) -> None:
    text = """\
engine: brennick-v8
title: V8
---
tree: rattle
title: Rattle
engines: [brennick-v8]
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-engine", text) == []
