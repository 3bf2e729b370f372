"""The best scope now: repair what, and stop looking.

Choosing which faults to mend, where repairs share access, is a maximum-closure problem: gains on the faults, costs on
the steps, a fault needs its steps. Steps are merged by which repairs pull them in before anything is cut.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from diagtree.reason.closures import Group, best_closure

# Losses nearer than this share of their size count as equal: the first scope found stays.
TIE = 1e-12


@dataclass(frozen=True, slots=True)
class Work:
    """What a best scope depends on beside the belief and what is done. Sets of steps are integers, a bit a step."""

    prices: tuple[float, ...]  # of each bit, money
    repairs: tuple[int | None, ...]  # of each cause, a closed set; None: no work mends it
    come_back: tuple[float, ...]  # of each cause, money


@dataclass(frozen=True, slots=True)
class Stop:
    """Repair now."""

    steps: int  # what is to be done, without what is done already
    loss: float  # mean, in the scale of the chances that were given
    mends: tuple[int, ...]  # the causes gone afterwards


@dataclass(frozen=True, slots=True)
class _Classes:
    """Causes with the same repair left, taken together. Class 0 of `masks` may be the one with nothing left."""

    masks: tuple[int, ...]
    gains: tuple[float, ...]
    groups: tuple[Group, ...]
    mended_gain: float  # of causes that what is done mends already
    at_once: bool  # whether some repair is done already: then to stop here is a scope


def best_stop(work: Work, chances: Sequence[float], done: int) -> Stop | None:
    """The union of one or more repairs of least mean loss; None where no cause has a repair.

    Args:
        work: prices and repairs.
        chances: P(cause | answers), by cause; any scale, which the loss then has too. Each at least 0.
        done: closed set of the steps done already.

    The loss is exact but for rounding: the free optimum where it repairs anything or nothing need be repaired, else
    the best of those that force one repair in.
    """
    if all(repair is None for repair in work.repairs):
        return None
    total = sum(chance * cost for chance, cost in zip(chances, work.come_back, strict=True))
    found = _classes(work, chances, done)
    scale = sum(chances)
    worth, inside = _free(found, scale)
    if inside or found.at_once:
        return _stop(work, found, inside, total - found.mended_gain - worth, done)
    worth, inside = _forced(found, scale)
    return _stop(work, found, inside, total - found.mended_gain - worth, done)


def _classes(work: Work, chances: Sequence[float], done: int) -> _Classes:
    gains: dict[int, float] = {}
    mended_gain, at_once = 0.0, False
    for repair, chance, cost in zip(work.repairs, chances, work.come_back, strict=True):
        if repair is None:
            continue
        left = repair & ~done
        if left:
            gains[left] = gains.get(left, 0.0) + chance * cost
        else:
            mended_gain += chance * cost
            at_once = True
    masks = tuple(gains)
    return _Classes(masks, tuple(gains.values()), grouped(work.prices, masks), mended_gain, at_once)


def grouped(prices: Sequence[float], masks: Sequence[int]) -> tuple[Group, ...]:
    """The steps of some sets, merged by the sets that hold them. Costs are those of unit chances."""
    parts = {0: _union(masks)}  # who holds them, a bit a set -> the steps; split by one set after another
    for at, mask in enumerate(masks):
        split: dict[int, int] = {}
        for holders, steps in parts.items():
            inside = steps & mask
            if inside:
                split[holders | 1 << at] = inside
            if steps != inside:
                split[holders] = steps ^ inside
        parts = split
    return tuple((holders, _price(prices, steps)) for holders, steps in parts.items() if steps)


def _union(masks: Sequence[int]) -> int:
    every = 0
    for mask in masks:
        every |= mask
    return every


def _price(prices: Sequence[float], steps: int) -> float:
    total = 0.0
    while steps:
        low = steps & -steps
        total += prices[low.bit_length() - 1]
        steps ^= low
    return total


def _scaled(groups: tuple[Group, ...], scale: float) -> list[Group]:
    """Work is paid whatever the fault: its cost has the whole of the chances as its weight."""
    return [(mask, cost * scale) for mask, cost in groups]


def _free(found: _Classes, scale: float) -> tuple[float, int]:
    return best_closure(found.gains, _scaled(found.groups, scale))


def _forced(found: _Classes, scale: float) -> tuple[float, int]:
    """The best set that holds at least one class, and its worth, which is at most 0."""
    groups = _scaled(found.groups, scale)
    price = [sum(cost for mask, cost in groups if mask >> at & 1) for at in range(len(found.masks))]
    # What the others can add at most: each pays at least for the work that only it needs.
    alone = [gain - sum(cost for mask, cost in groups if mask == 1 << at) for at, gain in enumerate(found.gains)]
    all_gains = sum(max(0.0, net) for net in alone)
    best_worth, best_inside = float("-inf"), 0
    # The cheapest to force first: the others are then often out of reach at sight.
    for at in sorted(range(len(found.masks)), key=lambda one: price[one] - found.gains[one]):
        most = all_gains - max(0.0, alone[at]) + found.gains[at] - price[at]
        if most <= best_worth + TIE * scale * (1.0 + abs(best_worth)):
            continue
        rest = [(mask, cost) for mask, cost in groups if not mask >> at & 1]
        gains = [0.0 if other == at else gain for other, gain in enumerate(found.gains)]
        worth, inside = best_closure(gains, rest)
        worth += found.gains[at] - price[at]
        if worth > best_worth + TIE * (abs(best_worth) if best_inside else 0.0):
            best_worth, best_inside = worth, inside | 1 << at
    return best_worth, best_inside


def _stop(work: Work, found: _Classes, inside: int, loss: float, done: int) -> Stop:
    steps = 0
    for at, mask in enumerate(found.masks):
        if inside >> at & 1:
            steps |= mask
    gone = steps | done
    mends = tuple(at for at, repair in enumerate(work.repairs) if repair is not None and not repair & ~gone)
    return Stop(steps, loss, mends)
