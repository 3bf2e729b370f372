from pathlib import Path

from tests.rules.finding import find


def test_cautions_named_in_every_sort_of_place(tmp_path: Path) -> None:
    text = """\
cautions:
  hot-engine: Hot oil. Let it cool.
---
checks:
  level: {ask: Level?, hours: 0.1, cautions: [hot-engin], answers: {low: Low, ok: Right}}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: [], cautions: [hot-engine, hto-engine]}
---
engine: v8
title: V8
work:
  drain: {title: Drain, hours: 0.2, cautions: [hot-oil]}
---
tree: rattle
title: Rattle
cautions: [fire]
weights: {oil-low: 1}
start: low
nodes:
  low: {outcome: oil-low, cautions: [water]}
"""
    assert find(tmp_path, "unknown-caution", text) == [
        (
            5,
            47,
            "No caution is called 'hot-engin'. Correct the name, or write the caution.",
            "The nearest caution is 'hot-engine'.",
        ),
        (
            8,
            89,
            "No caution is called 'hto-engine'. Correct the name, or write the caution.",
            "The nearest caution is 'hot-engine'.",
        ),
        (
            13,
            48,
            "No caution is called 'hot-oil'. Correct the name, or write the caution.",
            "The caution here is 'hot-engine'.",
        ),
        (
            17,
            12,
            "No caution is called 'fire'. Correct the name, or write the caution.",
            "The caution here is 'hot-engine'.",
        ),
        (
            21,
            38,
            "No caution is called 'water'. Correct the name, or write the caution.",
            "The caution here is 'hot-engine'.",
        ),
    ]


def test_a_caution_that_stands_is_known(tmp_path: Path) -> None:
    text = """\
cautions:
  hot-engine: Hot oil. Let it cool.
---
checks:
  level: {ask: Level?, hours: 0.1, cautions: [hot-engine], answers: {low: Low, ok: Right}}
"""
    assert find(tmp_path, "unknown-caution", text) == []
