from pathlib import Path

from tests.rules.finding import find


def test_two_steps_that_each_come_after_the_other(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
work:
  cover-off: {title: Cover off, hours: 1, after: [belt-off, balancer-off]}
  belt-off: {title: Belt off, hours: 0.2}
  balancer-off: {title: Balancer off, hours: 0.5, after: [cover-off]}
"""
    assert find(tmp_path, "access-ring", text) == [
        (
            6,
            59,
            (
                "Each of these steps comes after the next, in a ring: 'cover-off' -> 'balancer-off' -> "
                "'cover-off'. Take one of them out of `after`."
            ),
            "",
        ),
    ]


def test_a_step_after_itself(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
work:
  cover-off: {title: Cover off, hours: 1, after: [cover-off]}
"""
    assert find(tmp_path, "access-ring", text) == [
        (
            4,
            51,
            (
                "Each of these steps comes after the next, in a ring: 'cover-off' -> 'cover-off'. Take one of "
                "them out of `after`."
            ),
            "",
        ),
    ]


def test_brings_may_go_in_a_ring(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
work:
  chain: {title: Chain, hours: 1, brings: {tensioner: Worn together.}}
  tensioner: {title: Tensioner, hours: 1, brings: {chain: Worn together.}}
"""
    assert find(tmp_path, "access-ring", text) == []
