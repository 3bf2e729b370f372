from pathlib import Path

from tests.rules.finding import find


def test_after_and_follows_together(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
work:
  fill-oil: {title: Fill oil, hours: 0.2, follows: [chain]}
  chain: {title: Chain, hours: 1, after: [cover-off]}
  cover-off: {title: Cover off, hours: 1, follows: [fill-oil]}
"""
    assert find(tmp_path, "order-ring", text) == [
        (
            6,
            53,
            (
                "In engine 'v8' each of these steps comes after the next, in a ring: 'fill-oil' -> 'chain' -> "
                "'cover-off' -> 'fill-oil'. Take one of them out of `follows`."
            ),
            "",
        ),
    ]


def test_no_build_has_both_steps(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
features: {chain: {title: Chain, values: [roller, silent]}}
builds:
  early: {chain: roller}
  late: {chain: silent}
work:
  one: {title: One, hours: 1, follows: [two], when: {chain: roller}}
  two: {title: Two, hours: 1, follows: [one], when: {chain: silent}}
"""
    assert find(tmp_path, "order-ring", text) == []


def test_one_build_has_both_steps(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
features: {chain: {title: Chain, values: [roller, silent]}}
builds:
  early: {chain: roller}
  late: {chain: silent}
work:
  one: {title: One, hours: 1, follows: [two], when: {chain: silent}}
  two: {title: Two, hours: 1, follows: [one], when: {chain: silent}}
"""
    assert find(tmp_path, "order-ring", text) == [
        (
            9,
            41,
            (
                "In build 'late' of 'v8' each of these steps comes after the next, in a ring: 'one' -> 'two' "
                "-> 'one'. Take one of them out of `follows`."
            ),
            "",
        ),
    ]
