"""The cheapest buying by trying every count of every kit."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import ceil
from typing import TYPE_CHECKING

from tests.oracle.reading import Table, admits, number

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from tests.oracle.scoping import Features, Part

Basket = dict[str, tuple[Fraction, Fraction]]  # number: count, price of one


def baskets(engine: Table, features: Features, needed: Mapping[str, Part]) -> Iterator[Basket]:
    """Yield every covering basket worth looking at: kit counts bounded by need, the rest single."""
    kits = [kit for kit in engine.get("kits") or [] if admits(kit.get("when"), features)]
    limits = [_most(kit, needed) for kit in kits]
    for counts in product(*(range(limit + 1) for limit in limits)):
        basket: Basket = {}
        for kit, count in zip(kits, counts, strict=True):
            if count:
                basket[kit["number"]] = (Fraction(count), number(kit["price"]))
        for part, line in needed.items():
            held = sum(
                (count * number(kit["holds"].get(part, "0")) for kit, count in zip(kits, counts, strict=True)),
                Fraction(0),
            )
            if line.quantity > held:
                basket[line.number] = (line.quantity - held, line.price)
        yield basket


def _most(kit: Table, needed: Mapping[str, Part]) -> int:
    return max(
        (ceil(needed[part].quantity / number(held)) for part, held in kit["holds"].items() if part in needed),
        default=0,
    )


def cost(basket: Basket) -> Fraction:
    """Give what a basket costs."""
    return sum((count * price for count, price in basket.values()), Fraction(0))


def rank(basket: Basket) -> tuple[Fraction, int, list[str]]:
    """Order baskets: by cost, then fewer lines, then the sorted numbers."""
    return cost(basket), len(basket), sorted(basket)


def cheapest(engine: Table, features: Features, needed: Mapping[str, Part]) -> list[Basket]:
    """Give the best baskets; more than one only where counts of the same numbers tie."""
    every = list(baskets(engine, features, needed))
    best = min(rank(basket) for basket in every)
    return [basket for basket in every if rank(basket) == best]
