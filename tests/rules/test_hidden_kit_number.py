from pathlib import Path

from tests.rules.finding import find

TEXT = """\
engine: v8
title: V8
parts:
  chain: {title: Chain, numbers: [{number: C1, price: 84}]}
  guide: {title: Guide, numbers: [{number: C1, price: 31.5}]}
  oil: {title: Oil, unit: l, numbers: [{number: O1, price: 9}]}
kits:
  - {number: C1, title: Timing kit, price: 389, holds: {chain: 1}}
---
engine: i4
title: I4
parts:
  bolt: {title: Bolt, numbers: [{number: C1, price: 84}]}
  drum: {title: Drum of oil, numbers: [{number: O1, price: 300}]}
"""


def test_one_number_has_several_prices(tmp_path: Path) -> None:
    assert find(tmp_path, "hidden-kit-number", TEXT) == [
        (5, 44, "'C1' costs 31.5 here, and 84 as part 'chain' of 'v8'. Correct the number or the price.", ""),
        (8, 14, "'C1' costs 389 here, and 84 as part 'chain' of 'v8'. Correct the number or the price.", ""),
    ]


def test_one_price_a_number_passes_whatever_carries_it(tmp_path: Path) -> None:
    text = TEXT.replace("price: 31.5", "price: 84").replace("{number: C1, title: Timing kit", "{number: K1, title: Kit")
    assert find(tmp_path, "hidden-kit-number", text) == []
