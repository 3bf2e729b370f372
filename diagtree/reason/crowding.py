"""How many causes one scope can serve at little cost: the largest sum over causes that a set of repairs reaches.

For weights a and gains d of causes, a scope S that costs c(S) reaches exp(-c(S) / m) * (a + sum of d over the causes
that it mends). The largest such reach, over the unions of one or more repairs, is what keeps a bound honest, so it is
found by listing the unions where they are few, and
otherwise bounded from above by branch and bound.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagtree.reason.closures import Group
from diagtree.reason.stopping import grouped
from diagtree.reason.tables import Floats

# Unions of repairs that are listed one by one.
MOST_UNIONS = 1024
# Branch and bound: states split at once, how often, and how near to the greatest is near enough.
_BATCH = 64
_BATCHES = 60
_NEAR = 1e-3
# Rounding of sums of some dozens of numbers.
_ROUNDING = 1e-12


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """The repairs of a standing, ready to be chosen from."""

    classes: tuple[int, ...]  # steps that each distinct repair has left, none empty
    member: tuple[int, ...]  # of each cause: its class; -1: mended already; -2: never
    groups: tuple[Group, ...]
    least: float  # what the cheapest scope costs
    at_once: bool
    unions: tuple[int, ...] | None  # every union of classes, a bit a class; None: too many


def reach(prices: Sequence[float], repairs: Sequence[int | None], idle: Sequence[int], done: int) -> Reach:
    """Prepare; `repairs` and `idle` as for `scopes`."""
    left = [None if repair is None else repair & ~done for repair in repairs]
    spare = [repair & ~done for repair in idle]
    classes = tuple(dict.fromkeys(mask for mask in (*left, *spare) if mask))
    at_once = any(mask == 0 for mask in (*left, *spare)) or not classes
    groups = grouped(prices, classes)
    alone = [sum(cost for mask, cost in groups if mask >> at & 1) for at in range(len(classes))]
    return Reach(
        classes=classes,
        member=tuple(-2 if mask is None else -1 if mask == 0 else classes.index(mask) for mask in left),
        groups=groups,
        least=0.0 if at_once else min(alone),
        at_once=at_once,
        unions=_unions(classes, at_once=at_once),
    )


def _unions(classes: tuple[int, ...], *, at_once: bool) -> tuple[int, ...] | None:
    """Unions of steps, each as the classes that it mends."""
    found = {0}
    for mask in classes:
        found |= {one | mask for one in found}
        if len(found) > MOST_UNIONS:
            return None
    if not at_once:
        found.discard(0)
    return tuple(sorted({_inside(classes, union) for union in found}))


def _inside(classes: tuple[int, ...], steps: int) -> int:
    return sum(1 << at for at, mask in enumerate(classes) if not mask & ~steps)


def costs(of: Reach, union: int) -> float:
    """What a union of classes costs, each step once."""
    return sum(cost for mask, cost in of.groups if mask & union)


def losses(of: Reach, come_back: Floats, union: int) -> Floats:
    """Of each cause: the cost of a union, and the come-back where it is not mended."""
    gone = np.array([at == -1 or (at >= 0 and bool(union >> at & 1)) for at in of.member])
    return costs(of, union) + np.where(gone, 0.0, come_back)


def greatest(of: Reach, mu: float, always: float, mended: Floats, missed: Floats) -> tuple[float, list[int]]:
    """An upper bound on the reach, and unions that come near it: branch and bound on what is chosen.

    Args:
        of: the repairs.
        mu: above 0, money.
        always: logarithm of what every scope reaches before its cost.
        mended: (classes,): logarithm of what a class adds where it is chosen.
        missed: (classes,): the same where it is not, at most as much.
    """
    tree = _Tree(of, mu, always, mended, missed)
    states = np.zeros((1, len(of.classes)), dtype=np.int8)  # 1 chosen, -1 left out, 0 open
    upper, lower = tree.limits(states)
    best, near = float(lower[0]), [0]
    for _ in range(_BATCHES):
        worth = np.nonzero(upper > best * (1.0 + _NEAR))[0]
        if not len(worth):
            break
        chosen = worth[np.argsort(-upper[worth], kind="stable")[:_BATCH]]
        fresh = tree.split(states[chosen])
        rest = np.ones(len(states), dtype=np.bool_)
        rest[chosen] = False
        rest &= upper > best
        more_upper, more_lower = tree.limits(fresh)
        high = int(np.argmax(more_lower))
        if more_lower[high] > best:
            best = float(more_lower[high])
            near.append(sum(1 << at for at, one in enumerate(fresh[high].tolist()) if one == 1))
        states = np.concatenate([states[rest], fresh])
        upper = np.concatenate([upper[rest], more_upper])
    top = max(best, float(upper.max(initial=0.0)))
    return top * (1.0 + _ROUNDING), [union for union in near if union or of.at_once]


class _Tree:
    """Choices of classes, each between two limits of what it can reach."""

    def __init__(self, of: Reach, mu: float, always: float, mended: Floats, missed: Floats) -> None:
        """The arguments of `greatest`."""
        self.mu, self.least = mu, of.least
        self.always, self.mended, self.missed = always, mended, missed
        self.holds = np.array([[mask >> at & 1 for at in range(len(of.classes))] for mask, _ in of.groups], dtype=float)
        self.holds = self.holds.reshape(len(of.groups), len(of.classes))
        self.costs = np.array([cost for _, cost in of.groups])

    def limits(self, states: NDArray[np.int8]) -> tuple[Floats, Floats]:
        """(states,): more than no scope below a state reaches, and what the classes chosen reach by themselves."""
        paid = (states == 1) @ self.holds.T > 0.0  # (states, groups)
        unpaid = ~paid * self.costs
        cost = np.maximum(paid @ self.costs, self.least)[:, None]
        added = np.maximum(cost, (paid @ self.costs)[:, None] + unpaid @ self.holds)  # (states, classes)
        out = np.exp(self.missed - cost / self.mu)
        inside = np.exp(self.mended - added / self.mu)
        common = np.exp(self.always - cost[:, 0] / self.mu)
        open_too = np.where(states == -1, out, np.maximum(inside, out))
        lower = np.where((states == 1) | (added <= cost), inside, out)
        return common + open_too.sum(axis=1), common + lower.sum(axis=1)

    def split(self, states: NDArray[np.int8]) -> NDArray[np.int8]:
        """Each state with its weightiest open class chosen, and left out."""
        paid = (states == 1) @ self.holds.T > 0.0
        added = (paid @ self.costs)[:, None] + (~paid * self.costs) @ self.holds
        at = np.argmax(np.where(states == 0, self.mended - added / self.mu, -np.inf), axis=1)
        one, other = states.copy(), states.copy()
        one[np.arange(len(states)), at] = 1
        other[np.arange(len(states)), at] = -1
        return np.concatenate(
            [one[states[np.arange(len(states)), at] == 0], other[states[np.arange(len(states)), at] == 0]]
        )
