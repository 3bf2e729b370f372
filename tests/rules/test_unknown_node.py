from pathlib import Path

from tests.rules.finding import find


def test_start_then_and_else_name_nodes_that_are_not_there(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: lvel
nodes:
  level: {check: level, then: {low: topup, ok: quiet}, else: elsewhere}
  top-up: {outcome: oil-low}
"""
    assert find(tmp_path, "unknown-node", text) == [
        (
            4,
            8,
            "This tree has no node 'lvel'. Correct the name, or write the node.",
            "The nearest node is 'level'.",
        ),
        (
            6,
            37,
            "This tree has no node 'topup'. Correct the name, or write the node.",
            "The nearest node is 'top-up'.",
        ),
        (
            6,
            48,
            "This tree has no node 'quiet'. Correct the name, or write the node.",
            "The nodes here are 'level' and 'top-up'.",
        ),
        (
            6,
            62,
            "This tree has no node 'elsewhere'. Correct the name, or write the node.",
            "The nodes here are 'level' and 'top-up'.",
        ),
    ]


def test_a_node_that_stands_but_could_not_be_read_is_not_reported_again(tmp_path: Path) -> None:
    text = """\
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: level
nodes:
  level: {check: level, then: {low: top-up, ok: top-up}}
  top-up: {outcome: oil-low, notes: Slowly.}
  quiet: {note: Nothing.}
"""
    assert find(tmp_path, "unknown-node", text) == []
