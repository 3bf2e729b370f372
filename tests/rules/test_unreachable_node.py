from pathlib import Path

from tests.rules.finding import find


def test_a_node_that_nobody_names_and_one_that_only_it_names(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
  b: {check: level, then: {low: c, ok: a}}
  c: {outcome: oil-low}
"""
    assert find(tmp_path, "unreachable-node", text) == [
        (
            7,
            3,
            "No path from the start leads to 'b'. Name it in a `then` or `else`, or delete it.",
            "",
        ),
        (
            8,
            3,
            "No path from the start leads to 'c'. Name it in a `then` or `else`, or delete it.",
            "",
        ),
    ]


def test_a_node_whose_name_is_misspelt_where_it_is_meant_is_told_by_another_rule(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: level, then: {low: topup, ok: quiet}}
  top-up: {outcome: oil-low}
  quiet: {outcome: oil-low}
"""
    assert find(tmp_path, "unreachable-node", text) == []
