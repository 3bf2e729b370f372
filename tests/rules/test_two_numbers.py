from pathlib import Path

from tests.rules.finding import find


def test_two_numbers_admit_one_build(tmp_path: Path) -> None:
    text = """\
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
    numbers:
      - {number: BV-1, price: 1, when: {chain: roller}}
      - {number: BV-2, price: 2}
"""
    assert find(tmp_path, "two-numbers", text) == [
        (
            14,
            18,
            (
                "Part 'chain' has the numbers 'BV-1' and 'BV-2' for build 'early' of 'v8'. Say in each "
                "number's `when` which builds it fits."
            ),
            "",
        ),
    ]


def test_each_build_has_one_number(tmp_path: Path) -> None:
    text = """\
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
    numbers:
      - {number: BV-1, price: 1, when: {chain: roller}}
      - {number: BV-2, price: 2, when: {chain: silent}}
"""
    assert find(tmp_path, "two-numbers", text) == []
