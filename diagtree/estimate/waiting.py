"""How long a car stays because a check waits: a cold soak, a sample at the laboratory. Nobody is paid for it.

What was answered already waits no more. Closing times are not known: a wait as long as a working day is a night.
"""

from collections.abc import Iterable
from copy import copy
from dataclasses import dataclass
from math import floor

from diagtree.estimate.knowledge import Knowledge, Work
from diagtree.estimate.ways import ways
from diagtree.model.engine import Build
from diagtree.reason.tables import Floats

OVERNIGHT = 8.0  # hours, a working day: so long a wait does not end on the day it begins (common practice, no source)
_DAY = 24.0


@dataclass(frozen=True, slots=True)
class Waiting:
    """The waits still to come of a visit.

    Attributes:
        often: P(some check waits).
        hours: mean, over all ways.
        longest: hours of the way that waits longest.
        nights: (nights that the car stays at least, chance), ascending; the chances sum to 1.
    """

    often: float
    hours: float
    longest: float
    nights: tuple[tuple[int, float], ...]

    def at_least(self, nights: int) -> float:
        """P(the car stays so many nights or more)."""
        return min(1.0, sum(chance for many, chance in self.nights if many >= nights))


NO_WAIT = Waiting(0.0, 0.0, 0.0, ((0, 1.0),))


def nights_of(hours: float) -> int:
    """The nights that one wait takes at least."""
    return 0 if hours < OVERNIGHT else max(1, floor(hours / _DAY))


def waiting(of: Knowledge, groups: Iterable[tuple[list[Build], Floats]], most: int) -> Waiting | None:
    """The waits of every way that a visit can go; None where there are too many ways.

    Args:
        of: the tree and what is known.
        groups: builds to which the same checks apply, with P(cause, build), shape (causes, builds).
        most: states after which it is given up.
    """
    held = [of.library.checks[name] for name in of.names if of.library.checks[name].wait > 0 and name not in of.known]
    if not held:
        return NO_WAIT
    alone = copy(of)  # the same knowledge; of the work of a check nothing counts but its wait
    bits = {check.id: 1 << at for at, check in enumerate(held)}
    alone.work = {name: Work(0, 0, bits.get(name, 0)) for name in of.work}
    met: dict[int, float] = {}
    for builds, joint in groups:
        found = ways(alone, builds, joint, most)
        if isinstance(found, int):
            return None
        for way in found:
            met[way.work.special] = met.get(way.work.special, 0.0) + float(way.chances.sum())
    whole = sum(met.values())
    waits = {mask: [one.wait for one in held if bits[one.id] & mask] for mask in met}
    nights: dict[int, float] = {}
    for mask, chance in met.items():
        many = sum(map(nights_of, waits[mask]))
        nights[many] = nights.get(many, 0.0) + chance / whole
    return Waiting(
        often=min(1.0, sum(chance for mask, chance in met.items() if mask) / whole),
        hours=sum(chance * sum(waits[mask]) for mask, chance in met.items()) / whole,
        longest=max(sum(one) for one in waits.values()),
        nights=tuple(sorted(nights.items())),
    )
