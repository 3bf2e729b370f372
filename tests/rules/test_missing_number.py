from pathlib import Path

from tests.rules.finding import find


def test_parts_taken_by_work_and_by_a_check_without_a_number_for_a_build(tmp_path: Path) -> None:
    text = """\
checks:
  cut-filter: {ask: Metal?, hours: 0.2, takes: {oil-filter: 1}, answers: {metal: Some, none: None}}
---
engine: v8
title: V8
features: {chain: {title: Chain, values: [roller, silent]}}
builds:
  early: {chain: roller}
  late: {chain: silent}
work:
  chain: {title: Chain, hours: 1, takes: {chain: 1}}
parts:
  chain:
    title: Chain
    numbers: [{number: A, price: 1, when: {chain: roller}}]
  oil-filter: {title: Filter}
  never-taken: {title: Shelf}
---
tree: rattle
title: Rattle
weights: {worn: 5}
start: a
nodes:
  a: {check: cut-filter, then: {metal: b, none: b}}
  b: {outcome: worn}
"""
    assert find(tmp_path, "missing-number", text) == [
        (
            15,
            5,
            "Part 'chain' has no number for build 'late' of 'v8'. Write the number, or a `when` that admits it.",
            "",
        ),
        (
            16,
            3,
            (
                "Part 'oil-filter' has no number for build 'early' of 'v8' and build 'late' of 'v8'. Write "
                "the number, or a `when` that admits it."
            ),
            "",
        ),
    ]


def test_a_build_that_excludes_the_step_needs_no_number(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
features: {chain: {title: Chain, values: [roller, silent]}}
builds:
  early: {chain: roller}
  late: {chain: silent}
work:
  chain: {title: Chain, hours: 1, when: {chain: roller}, takes: {chain: 1}}
parts:
  chain: {title: Chain, numbers: [{number: A, price: 1, when: {chain: roller}}]}
"""
    assert find(tmp_path, "missing-number", text) == []
