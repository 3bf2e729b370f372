"""The best scope now for many beliefs at once.

What repairs share forms groups of steps, each held by some repairs. Where the groups nest, the best set of repairs is
found from the inside out: a group is worth opening if what is inside brings more than it costs. Where some groups
cross, each choice of those that are paid leaves a nested rest.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from diagtree.reason.stopping import grouped
from diagtree.reason.tables import Floats

# Choices of crossing groups past which one best scope at a time is quicker.
MOST_CHOICES = 256


@dataclass(frozen=True, slots=True)
class _Nested:
    """Groups that nest, inner before outer: cost, the classes held by it and no inner group, its inner groups."""

    paid: float  # for crossing groups, whatever is chosen
    groups: tuple[tuple[float, tuple[int, ...], tuple[int, ...]], ...]
    outer: tuple[int, ...]  # groups inside no other
    free: tuple[int, ...]  # classes inside no group


@dataclass(frozen=True, slots=True, eq=False)
class Scopes:
    """The best scope of each belief, at one set of steps done."""

    classes: tuple[tuple[int, ...], ...]  # the causes that each repair mends
    mended: frozenset[int]  # causes that what is done mends
    at_once: bool  # whether to repair nothing is a scope
    choices: tuple[_Nested, ...]

    def losses(self, stakes: Floats, mass: Floats) -> Floats:
        """The least mean loss.

        Args:
            stakes: shape (causes, beliefs): chance times come-back. Any scale.
            mass: shape (beliefs,): the sum of the chances, in that scale.

        Returns:
            Shape (beliefs,), in that scale.
        """
        gains = [_total(stakes, causes, mass) for causes in self.classes]
        worth = _worth(self.choices[0], gains, mass, self.at_once)
        for choice in self.choices[1:]:
            np.maximum(worth, _worth(choice, gains, mass, self.at_once), out=worth)
        left = [at for at in range(len(stakes)) if at not in self.mended]
        return _total(stakes, left, mass) - worth


def _total(stakes: Floats, causes: Sequence[int], mass: Floats) -> Floats:
    # Row by row: a matrix product would wake threads for a handful of rows.
    if not causes:
        return np.zeros(len(mass))
    total: Floats = stakes[causes[0]].copy()
    for at in causes[1:]:
        total += stakes[at]
    return total


def scopes(prices: Sequence[float], repairs: Sequence[int | None], idle: Iterable[int], done: int) -> Scopes | None:
    """Prepare for beliefs over some causes; None where too many groups cross.

    Args:
        prices: of each step, money, at least 0.
        repairs: of each cause, a closed set; None: nothing mends it.
        idle: repairs of causes that have no chance; they may be chosen all the same.
        done: closed set of steps.
    """
    left = [None if repair is None else repair & ~done for repair in repairs]
    spare = [repair & ~done for repair in idle]
    masks = tuple(dict.fromkeys(mask for mask in (*left, *spare) if mask))
    # Where nothing can be repaired at all only the come-backs are left.
    at_once = any(mask == 0 for mask in (*left, *spare)) or not masks
    groups = [group for group in grouped(prices, masks) if group[1] > 0.0]
    crossing = _crossing([mask for mask, _ in groups])
    if 1 << len(crossing) > MOST_CHOICES:
        return None
    return Scopes(
        classes=tuple(tuple(at for at, mask in enumerate(left) if mask == one) for one in masks),
        mended=frozenset(at for at, mask in enumerate(left) if mask == 0),
        at_once=at_once,
        choices=tuple(_choices((1 << len(masks)) - 1, groups, crossing, nothing=at_once)),
    )


def _cross(one: int, other: int) -> bool:
    both = one & other
    return both not in (0, one, other)


def _crossing(masks: Sequence[int]) -> frozenset[int]:
    """Groups without which the others nest: the one that crosses most, again and again."""
    out: set[int] = set()
    while True:
        counts = dict.fromkeys((mask for mask in masks if mask not in out), 0)
        for one, other in combinations(counts, 2):
            if _cross(one, other):
                counts[one] += 1
                counts[other] += 1
        worst = max(counts, key=lambda mask: counts[mask], default=0)
        if not counts or counts[worst] == 0:
            return frozenset(out)
        out.add(worst)


def _choices(
    every: int, groups: Sequence[tuple[int, float]], crossing: frozenset[int], *, nothing: bool
) -> Iterable[_Nested]:
    split = [group for group in groups if group[0] in crossing]
    rest = [group for group in groups if group[0] not in crossing]
    for size in range(len(split) + 1):
        for paid in combinations(split, size):
            allowed = every
            for mask, _ in split:
                allowed &= -1 if any(mask == one for one, _ in paid) else ~mask
            if all(mask & allowed for mask, _ in paid) and (allowed or nothing):
                yield _nested(allowed, rest, sum(cost for _, cost in paid))


def _nested(allowed: int, groups: Sequence[tuple[int, float]], paid: float) -> _Nested:
    costs: dict[int, float] = {}
    for mask, cost in groups:
        if mask & allowed:
            costs[mask & allowed] = costs.get(mask & allowed, 0.0) + cost
    order = sorted(costs, key=lambda mask: (mask.bit_count(), mask))
    outside = set(range(len(order)))
    loose = allowed
    made = []
    for at, mask in enumerate(order):
        inner = tuple(one for one in sorted(outside) if one < at and not order[one] & ~mask)
        outside.difference_update(inner)
        made.append((costs[mask], _bits(mask & loose), inner))
        loose &= ~mask
    return _Nested(paid, tuple(made), tuple(sorted(outside)), _bits(loose))


def _bits(mask: int) -> tuple[int, ...]:
    return tuple(at for at in range(mask.bit_length()) if mask >> at & 1)


def _worth(choice: _Nested, gains: list[Floats], mass: Floats, at_once: bool) -> Floats:
    """Gains less costs of the best set; of a set that is not empty unless `at_once`."""
    inside: list[Floats] = []
    for cost, classes, inner in choice.groups:
        value = _together([inside[one] for one in inner], [gains[one] for one in classes], bool(classes), mass)
        value -= cost * mass
        inside.append(value)
    loose = bool(choice.free) or at_once
    value = _together([inside[one] for one in choice.outer], [gains[one] for one in choice.free], loose, mass)
    value -= choice.paid * mass
    return value


def _together(groups: list[Floats], gains: list[Floats], chosen: bool, mass: Floats) -> Floats:
    """What pays for itself, and the least bad group where nothing else is chosen."""
    value = gains[0].copy() if gains else np.zeros(len(mass))
    for gain in gains[1:]:
        value += gain
    for group in groups:
        value += np.maximum(group, 0.0)
    if not chosen and groups:
        best = groups[0]
        for group in groups[1:]:
            best = np.maximum(best, group)
        value += np.minimum(best, 0.0)
    return value
