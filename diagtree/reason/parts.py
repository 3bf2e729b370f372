"""A bound below every order of checks: told to which of a few groups the cause belongs, nobody pays more.

An order of checks costs so much with each cause, so what it costs is the sum over groups of causes of what it costs
with the causes of each; and in each group the best order for that group alone costs no more. Inside a group most
checks say nothing and drop out, so its best order is worked out exactly, for every set of answers. So the sum bounds
from below wherever some answers are known. To know each cause by itself is the same with groups of one.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from heapq import heappop, heappush
from typing import TypeAlias

import numpy as np

from diagtree.model.tree import Onward, Outcome
from diagtree.reason.ahead import stop_losses
from diagtree.reason.case import Case
from diagtree.reason.compact import Compact, compact
from diagtree.reason.levels import solve, states
from diagtree.reason.standing import Standing

Group: TypeAlias = tuple[int, ...]  # causes
# Less what joining two groups can bring, when it was offered, the groups, and whether it brings just that.
_Offer: TypeAlias = tuple[float, int, Group, Group, bool]

# Sets of answers that a group may have, in turn: small groups first, then what they can still be joined to.
_SIZES = (300, 3_000, 30_000, 300_000, 1_500_000, 4_000_000, 8_000_000)
# Sets of answers worked through in each turn, as a multiple of that.
_TURN = (400, 400, 120, 24, 6, 3, 3)
# Gains below this share of the whole are not worth a larger group.
_LEAST = 1e-5
# Rounding of sums, as a share.
_SLACK = 1e-12


class Parts:
    """The groups of one problem."""

    def __init__(self, here: Standing) -> None:
        """Each cause by itself, until `join` is asked."""
        here = self._here = settled(here)
        self._offers = 0
        self._many_sets: dict[Group, int] = {}
        self.many = 0  # sets of answers worked through
        self.groups: list[Group] = [(at,) for at in np.nonzero(here.chances > 0.0)[0].tolist()]
        self._costs: dict[Group, float | None] = {}
        self._stops: dict[Group, float] = {}
        # Losses are told as come-backs less what repairs spare: rounding is a share of those.
        self._slack = _SLACK * float(here.chances @ np.array(here.case.come_back))
        for group in self.groups:
            self._cost(group, _SIZES[0])

    @property
    def bound(self) -> float:
        """Below the cost of every order from the start, times the chance of the answers there."""
        return sum(self._now(group) for group in self.groups) - self._slack

    def join(self, go_on: Callable[[int], bool], most: int) -> None:
        """Make larger groups of small ones, those first that bring most.

        Args:
            go_on: asked with the sets of answers of a group before it is worked out.
            most: sets of answers that a group may have.
        """
        for size, turn in zip(_SIZES, _TURN, strict=True):
            if size <= most:
                self._join(size, self.many + size * turn, go_on)

    def _join(self, most: int, budget: int, go_on: Callable[[int], bool]) -> None:
        """Join groups while their sets of answers stay under a number, the greatest gain next."""
        least = _LEAST * self.bound
        waiting: list[_Offer] = []
        for at, one in enumerate(self.groups):
            if not go_on(0):
                return
            self._offer(waiting, one, self.groups[:at])
        while waiting and self.many < budget:
            gain, _, one, other, sure = heappop(waiting)
            if -gain <= least:
                return
            both = tuple(sorted(one + other))
            if one not in self.groups or other not in self.groups or (not sure and self._sets(both) > most):
                continue
            if not go_on(0 if sure else self._sets(both)):
                return
            if sure:
                self.groups = [group for group in self.groups if group not in {one, other}]
                self._offer(waiting, both, self.groups)
                self.groups.append(both)
                continue
            cost = self._cost(both, most)
            if cost is not None:
                gain = cost - self._now(one) - self._now(other)
                self._offers += 1
                heappush(waiting, (-gain, self._offers, one, other, True))

    def _now(self, group: Group) -> float:
        return self._costs[group] or 0.0

    def _offer(self, waiting: list[_Offer], one: Group, others: Sequence[Group]) -> None:
        """Groups to join with one: at first by what joining them can bring at most."""
        joint = [tuple(sorted(one + other)) for other in others]
        fresh = [both for both in joint if both not in self._stops]
        if fresh:
            chances = np.array([self._only(both).chances for both in fresh])
            self._stops.update(zip(fresh, stop_losses(self._here, chances, self._here.done).tolist(), strict=True))
        for other, both in zip(others, joint, strict=True):
            known = self._costs.get(both)
            gain = (self._stops[both] if known is None else known) - self._now(one) - self._now(other)
            if gain > 0.0:
                self._offers += 1
                heappush(waiting, (-gain, self._offers, one, other, known is not None))

    def _sets(self, group: Group) -> int:
        if group not in self._many_sets:
            self._many_sets[group] = states(compact(self._only(group)))
        return self._many_sets[group]

    def _only(self, group: Group) -> Standing:
        chances = np.zeros_like(self._here.chances)
        chances[list(group)] = self._here.chances[list(group)]
        return replace(self._here, chances=chances)

    def _cost(self, group: Group, most: int) -> float | None:
        """The best cost of a group alone; None where it has too many sets of answers."""
        known = self._costs.get(group)
        if known is None:
            small = _lean(compact(self._only(group)))
            self.many += states(small)
            table = solve(small) if states(small) <= most else None
            known = self._costs[group] = None if table is None else float(table.value[0])
        return known


def _lean(small: Compact) -> Compact:
    """Without those repairs of causes outside the group that are never the cheapest.

    Nobody in the group has such a cause: a scope of such repairs alone is best if it is the cheapest one, and with
    others, or where it mends somebody all the same, the repairs of those that it mends cost no more.
    """
    opened = 0
    for test in small.tests:
        opened |= test.behind
    least = min((small.access(repair) for repair in small.idle), default=0.0)
    kept = tuple(repair for repair in dict.fromkeys(small.idle) if small.access(repair & ~opened) <= least)
    return replace(small, idle=kept)


def settled(here: Standing) -> Standing:
    """The same where going on in a tree costs one price, whatever is answered, that it is never below.

    No order of checks costs more there.
    """
    of = here.case
    if not of.onward:
        return here
    opened = here.done
    for check in of.checks.values():
        opened |= check.behind
    prices = {tree: 0.0 if _may_vanish(here, tree) else _floor(of.beyond[tree], opened) for tree in of.onward}
    nodes = {name: Outcome(name, ()) if isinstance(node, Onward) else node for name, node in of.tree.nodes.items()}
    plain = replace(
        of,
        tree=replace(of.tree, nodes=nodes),
        steps=(*of.steps, *of.onward),
        prices=(*of.prices, *prices.values()),
        come_back=tuple(cost + prices.get(name, 0.0) for name, cost in zip(of.causes, of.come_back, strict=True)),
    )
    return Standing(plain, here.chances, here.done, here.findings)


def _may_vanish(here: Standing, tree: str) -> bool:
    """Whether answers may come that leave nothing of a tree, or of one after it: to go on in it then costs nothing."""
    cases = {name: here.case.beyond[name] for name in (tree, *here.case.beyond[tree].beyond)}
    checks = {check for one in (here.case, *cases.values()) for check in one.checks if check not in here.findings}
    for name, one in cases.items():
        live = here.beyond[name] > 0.0
        if not live.any() or any((one.rows(check)[:, live] <= 0.0).any() for check in checks):
            return True
    return False


def _floor(of: Case, opened: int) -> float:
    """What walking a tree costs at least, whatever is answered, known and opened before: its cheapest cause's end.

    Its checks are left out, and what they open mends as if it were paid for.
    """
    gone = opened
    for check in of.checks.values():
        gone |= check.behind
    beyond = [_floor(of.beyond[tree], gone) for tree in of.onward]
    ends = [node for node in of.tree.nodes.values() if isinstance(node, Outcome)]
    least = np.array(of.come_back)
    for end in ends:
        wanted = 0
        for fault in end.faults:
            wanted |= of.repairs[of.causes.index(fault)] or 0
        mended = np.array([repair is not None and not repair & ~(wanted | gone) for repair in of.repairs])
        least = np.minimum(least, of.cost(wanted & ~opened) + np.where(mended, 0.0, of.come_back))
    return min([*beyond, *least[of.prior > 0.0].tolist()], default=0.0)
