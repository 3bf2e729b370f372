from pathlib import Path

from tests.rules.finding import find


def test_a_repair_and_a_check_name_steps_of_no_engine(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [fill-oli], verify: []}
---
checks:
  look: {ask: Guide?, hours: 0.2, behind: [covers-off], answers: {good: Whole, bad: Broken}}
---
engine: v8
title: V8
work:
  fill-oil: {title: Fill oil, hours: 0.2}
"""
    assert find(tmp_path, "unknown-step", text) == [
        (
            2,
            51,
            "No engine's work has a step 'fill-oli'. Correct the name, or write the step.",
            "The nearest step is 'fill-oil'.",
        ),
        (
            5,
            44,
            "No engine's work has a step 'covers-off'. Correct the name, or write the step.",
            "The step here is 'fill-oil'.",
        ),
    ]


def test_after_follows_and_brings_name_steps_of_the_same_engine(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
work:
  fill-oil: {title: Fill oil, hours: 0.2, follows: [sump-on]}
  chain:
    title: Chain
    hours: 1
    after: [cover-off]
    brings: {tensioner: A tired one slaps again.}
"""
    assert find(tmp_path, "unknown-step", text) == [
        (
            4,
            53,
            "The work of 'v8' has no step 'sump-on'. Correct the name, or write the step.",
            "The steps here are 'fill-oil' and 'chain'.",
        ),
        (
            8,
            13,
            "The work of 'v8' has no step 'cover-off'. Correct the name, or write the step.",
            "The steps here are 'fill-oil' and 'chain'.",
        ),
        (
            9,
            14,
            "The work of 'v8' has no step 'tensioner'. Correct the name, or write the step.",
            "The steps here are 'fill-oil' and 'chain'.",
        ),
    ]


def test_a_library_without_an_engine_has_no_steps(tmp_path: Path) -> None:
    text = """\
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [fill-oil], verify: []}
"""
    assert find(tmp_path, "unknown-step", text) == [
        (
            2,
            51,
            "This library has no engine, so no step 'fill-oil' either. Write one with it, or leave [] here.",
            "",
        ),
    ]
