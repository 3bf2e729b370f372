from pathlib import Path

from tests.rules.finding import find


def test_the_number_of_a_part_in_it_depends_on_a_feature_that_it_does_not_name(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
features:
  chain: {title: Chain, values: [roller, silent]}
  pump: {title: Pump, values: [internal, external]}
builds: {early: {chain: roller, pump: external}}
parts:
  chain:
    title: Chain
    numbers:
      - {number: A, price: 1, when: {chain: roller}}
      - {number: B, price: 1, when: {chain: silent}}
  seal: {title: Seal, numbers: [{number: C, price: 1}]}
kits:
  - {number: K, title: Kit, price: 1, when: {pump: internal}, holds: {seal: 1, chain: 1}}
"""
    assert find(tmp_path, "kit-without-feature", text) == [
        (
            15,
            80,
            (
                "The number of part 'chain' depends on 'chain', which this kit's `when` does not name. Say "
                "there which builds the kit fits."
            ),
            "",
        ),
    ]


def test_the_kit_names_it(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
features: {chain: {title: Chain, values: [roller, silent]}}
builds: {early: {chain: roller}}
parts:
  chain:
    title: Chain
    numbers:
      - {number: A, price: 1, when: {chain: roller}}
kits:
  - {number: K, title: Kit, price: 1, when: {chain: roller}, holds: {chain: 1}}
"""
    assert find(tmp_path, "kit-without-feature", text) == []
