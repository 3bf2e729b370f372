"""A cover problem in fractions, made whole: pieces and coins so small that every figure is an integer."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, lcm
from typing import TypeAlias

from diagtree.scope.integers import Box, IntegerCover

Quantity: TypeAlias = int | Fraction
NOTHING = Fraction(0)


@dataclass(frozen=True, slots=True)
class Bundle:
    """A kit, for one: its price, and how many it holds of each part by that part's place in the need."""

    price: Quantity
    holds: Mapping[int, Quantity]


@dataclass(frozen=True, slots=True)
class Scaling:
    """How fractions become integers, for the parts that are needed at all.

    Attributes:
        needed: the places of those parts in the need.
        grain: how many integer pieces make one of each of them; 1 where it is sold in whole pieces.
        money: how many integer coins make one of the currency.
        forbidden: coins that no sensible cover reaches: the price of a part that is sold in kits only.
    """

    needed: tuple[int, ...]
    grain: tuple[int, ...]
    money: int
    forbidden: int


def scale(
    need: Sequence[Quantity],
    prices: Sequence[Quantity | None],
    kits: Sequence[Bundle],
    divisible: frozenset[int],
) -> Scaling:
    """The coarsest integers that hold every figure exactly."""
    needed = tuple(part for part, many in enumerate(need) if many > 0)
    grain = tuple(_grain(part, need[part], kits) if part in divisible else 1 for part in needed)
    singles = [Fraction(prices[part] or 0) / pieces for part, pieces in zip(needed, grain, strict=True)]
    money = lcm(*(Fraction(price).denominator for price in (*singles, *(kit.price for kit in kits))))
    all_singly = sum(
        (price * ceil(need[part] * pieces) for part, price, pieces in zip(needed, singles, grain, strict=True)), NOTHING
    )
    all_kits = sum((kit.price * most_useful(need, needed, kit) for kit in kits), NOTHING)
    return Scaling(needed, grain, money, 1 + ceil((all_singly + all_kits) * money))


def most_useful(need: Sequence[Quantity], needed: Sequence[int], kit: Bundle) -> int:
    """How many of a kit cover all that it can."""
    return max(
        (ceil(need[part] / Fraction(kit.holds[part])) for part in needed if kit.holds.get(part, 0) > 0), default=0
    )


def _grain(part: int, many: Quantity, kits: Sequence[Bundle]) -> int:
    return lcm(*(Fraction(figure).denominator for figure in (many, *(kit.holds.get(part, 0) for kit in kits))))


def whole(
    scaling: Scaling,
    need: Sequence[Quantity],
    prices: Sequence[Quantity | None],
    kits: Sequence[Bundle],
    rank: Sequence[int],
) -> IntegerCover:
    """The problem in integers. Of a part in whole pieces a need counts up, what a kit holds counts down."""
    parts = list(zip(scaling.needed, scaling.grain, strict=True))
    chosen = (*scaling.needed, *range(len(need), len(need) + len(kits)))
    place = {number: at for at, number in enumerate(sorted(chosen, key=rank.__getitem__))}
    return IntegerCover(
        need=tuple(ceil(need[part] * grain) for part, grain in parts),
        prices=tuple(_coins(scaling, prices[part], grain) for part, grain in parts),
        boxes=tuple(Box(int(kit.price * scaling.money), _holds(parts, kit)) for kit in kits),
        rank=tuple(place[number] for number in chosen),
    )


def _coins(scaling: Scaling, price: Quantity | None, grain: int) -> int:
    return scaling.forbidden if price is None else int(Fraction(price) / grain * scaling.money)


def _holds(parts: Sequence[tuple[int, int]], kit: Bundle) -> tuple[tuple[int, int], ...]:
    held = [(place, floor(kit.holds.get(part, 0) * grain)) for place, (part, grain) in enumerate(parts)]
    return tuple((place, many) for place, many in held if many > 0)
