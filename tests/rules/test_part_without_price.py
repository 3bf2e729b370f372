from pathlib import Path

from tests.rules.finding import find

SHOP = "shop: a\nname: A\ncurrency: EUR\nlabour-rate: 95\ntax: 20\ngoodwill: 600\n---\n"
TEXT = """\
engine: v8
title: V8
work:
  renew-chain: {title: Chain, hours: 0.4, takes: {chain: 1}}
parts:
  chain: {title: Chain, numbers: [{number: C1, price: 0}]}
  guide: {title: Guide}
kits:
  - {number: K1, title: Kit, price: 0, holds: {chain: 1}}
"""


def test_parts_and_kits_for_nothing_and_a_part_without_a_number(tmp_path: Path) -> None:
    assert find(tmp_path, "part-without-price", SHOP + TEXT) == [
        (13, 55, "'C1' costs nothing. Write its price.", ""),
        (14, 3, "This part has no number and no price. Write them before a step takes it.", ""),
        (16, 37, "'K1' costs nothing, and is bought wherever it fits. Write its price.", ""),
    ]


def test_without_a_shop_prices_need_not_be_known(tmp_path: Path) -> None:
    assert [line for line, _, _, _ in find(tmp_path, "part-without-price", TEXT)] == [7]


def test_a_taken_part_without_a_number_is_left_to_its_own_rule(tmp_path: Path) -> None:
    text = TEXT.replace("takes: {chain: 1}", "takes: {chain: 1, guide: 2}").replace("price: 0", "price: 9")
    assert find(tmp_path, "part-without-price", SHOP + text) == []
    assert [line for line, _, _, _ in find(tmp_path, "missing-number", SHOP + text)] == [14]


def test_a_number_that_could_not_be_read_is_reported_already(tmp_path: Path) -> None:
    text = TEXT.replace("price: 0", "price: 9").replace("{title: Guide}", "{title: Guide, numbers: [{number: G1}]}")
    assert find(tmp_path, "part-without-price", SHOP + text) == []
