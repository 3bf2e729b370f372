"""Maximum closure: which gains to take when they share what must be paid.

A class brings a gain and pulls in groups of cost; a group is paid once, by all that pull it in. The best set is a
minimum cut (Picard 1976, Management Science 22:1268). Most of it is decided at sight; what is left is cut by augmenting
paths, exactly but for rounding.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import TypeAlias

# The classes that pull it in, a bit each; what it costs, at least 0.
Group: TypeAlias = tuple[int, float]

# Flow below this share of the largest number is rounding.
_DUST = 1e-15


def best_closure(gains: Sequence[float], groups: Sequence[Group]) -> tuple[float, int]:
    """The set of classes of greatest gain less cost, and that value; of equal sets a smallest.

    Args:
        gains: of each class, at least 0.
        groups: classes outside the range are no error: they pull nothing.

    Returns:
        The value, at least 0, and the set, a bit a class. The empty set has value 0.
    """
    nets = dict(enumerate(gains))
    taken, value = 0, 0.0
    shared = [group for group in groups if group[1] > 0]
    while True:
        shared, nets, changed = _own(shared, nets)
        sure = _sure(shared, nets)
        if sure is not None:
            paid = sum(cost for mask, cost in shared if mask >> sure & 1)
            value += nets.pop(sure) - paid
            taken |= 1 << sure
            shared = [group for group in shared if not group[0] >> sure & 1]
        elif not changed:
            break
    if nets:
        more, chosen = _cut(nets, shared)
        value, taken = value + more, taken | chosen
    return value, taken


def _own(shared: list[Group], nets: dict[int, float]) -> tuple[list[Group], dict[int, float], bool]:
    """Charge a class with what only it pulls in, and let go of those that bring nothing."""
    left = {at: net for at, net in nets.items() if net > 0.0}
    mask_of_left = sum(1 << at for at in left)
    merged: dict[int, float] = {}
    changed = len(left) != len(nets)
    for mask, cost in shared:
        still = mask & mask_of_left
        if still & (still - 1):
            merged[still] = merged.get(still, 0.0) + cost
        elif still:
            left[still.bit_length() - 1] -= cost
            changed = True
    return list(merged.items()), left, changed


def _sure(shared: list[Group], nets: dict[int, float]) -> int | None:
    """A class that pays for all that it pulls in, even alone."""
    for at, net in nets.items():
        if net > sum(cost for mask, cost in shared if mask >> at & 1):
            return at
    return None


def _cut(nets: dict[int, float], groups: list[Group]) -> tuple[float, int]:
    """The rest by a maximum flow from gains to costs; the gains' side of its cut is the best set."""
    flow = _Flow(nets, groups)
    reached = flow.fill()
    taken = sum(1 << at for at in reached)
    paid = sum(cost for mask, cost in groups if mask & taken)
    value = sum(nets[at] for at in reached) - paid
    return (value, taken) if value > 0.0 else (0.0, 0)


class _Flow:
    """A flow from classes to the groups that they pull in. Arcs between them have no limit."""

    def __init__(self, nets: dict[int, float], groups: list[Group]) -> None:
        self.left = dict(nets)  # of each class: gain not sent yet
        self.room = [cost for _, cost in groups]
        self.sent: list[dict[int, float]] = [{} for _ in groups]  # of each group: flow by class
        self.pulls = {at: [place for place, (mask, _) in enumerate(groups) if mask >> at & 1] for at in nets}
        self.dust = _DUST * max([*nets.values(), *self.room], default=0.0)

    def fill(self) -> set[int]:
        """Send what can be sent; the classes that could send more if a group had room."""
        for at, places in self.pulls.items():
            for place in places:
                self._send(at, place, min(self.left[at], self.room[place]))
        while True:
            found, came_from, end = self._search()
            if end is None:
                return found
            self._augment(came_from, end)

    def _send(self, at: int, place: int, amount: float) -> None:
        if amount > 0.0:
            self.left[at] -= amount
            self.room[place] -= amount
            self.sent[place][at] = self.sent[place].get(at, 0.0) + amount

    def _search(self) -> tuple[set[int], dict[int, tuple[int, int]], tuple[int, int] | None]:
        """Breadth first from every class with gain left, to a group with room."""
        found = {at for at, gain in self.left.items() if gain > self.dust}
        waiting = list(found)
        came_from: dict[int, tuple[int, int]] = {}  # class -> the class before it, and the group between
        seen: set[int] = set()
        for at in waiting:
            for place in self.pulls[at]:
                if place in seen:
                    continue
                seen.add(place)
                if self.room[place] > self.dust:
                    return found, came_from, (at, place)
                for other, amount in self.sent[place].items():
                    if other not in found and amount > self.dust:
                        found.add(other)
                        came_from[other] = (at, place)
                        waiting.append(other)
        return found, came_from, None

    def _augment(self, came_from: dict[int, tuple[int, int]], end: tuple[int, int]) -> None:
        path = []  # from the end back: (class, group that it sends more to)
        at, place = end
        amount = self.room[place]
        path.append((at, place))
        while at in came_from:
            before, between = came_from[at]
            amount = min(amount, self.sent[between][at])
            path.append((before, between))
            at = before
        amount = min(amount, self.left[at])
        self.left[at] -= amount
        self.room[end[1]] -= amount
        for sender, group in path:
            self.sent[group][sender] = self.sent[group].get(sender, 0.0) + amount
        for (sender, _), (_, group) in pairwise(path):
            self.sent[group][sender] -= amount
