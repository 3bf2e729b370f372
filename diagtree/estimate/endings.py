"""What the ways of a visit end in: outcomes with their means, and how often a car would come back."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from diagtree.estimate.customer import net, taxed
from diagtree.estimate.result import End
from diagtree.estimate.ways import Way
from diagtree.model.library import Shop
from diagtree.reason.tables import Floats


class Ending(NamedTuple):
    """A way in one build, billed."""

    causes: Floats  # (causes of the tree in which it ends,): P(way, cause)
    chance: float  # their sum
    unmended: Floats  # (causes,): 1 for those that come back
    last: int  # the last stage that has work, a place in STAGES
    hours: float  # mean
    parts: float


@dataclass(slots=True)
class _Outcome:
    """An outcome, way by way."""

    faults: tuple[str, ...]
    chances: list[float] = field(default_factory=list)
    hours: list[float] = field(default_factory=list)
    parts: list[float] = field(default_factory=list)
    back: float = 0.0

    def take(self, other: "_Outcome") -> None:
        """The ways of another one, too."""
        self.chances += other.chances
        self.hours += other.hours
        self.parts += other.parts
        self.back += other.back


class Endings:
    """Endings come in; outcomes come out."""

    __slots__ = ("_outcomes", "found", "settled")

    def __init__(self) -> None:
        self._outcomes: dict[frozenset[str], _Outcome] = {}
        self.settled = [0.0, 0.0, 0.0]  # how often the visit ends with each stage
        self.found = [0.0, 0.0]  # how often the outcome is known without opening anything, and at all

    def add(self, way: Way, ending: Ending, *, opened: bool) -> None:
        """One more."""
        faults = way.faults or ()
        outcome = self._outcomes.setdefault(frozenset(faults), _Outcome(tuple(dict.fromkeys(faults))))
        outcome.chances.append(ending.chance)
        outcome.hours.append(ending.hours)
        outcome.parts.append(ending.parts)
        outcome.back += float(ending.causes @ ending.unmended)
        self.settled[ending.last] += ending.chance
        if way.faults is not None:
            self.found[1] += ending.chance
            self.found[0] += 0.0 if opened else ending.chance

    @property
    def residual(self) -> float:
        """How often the car comes back with another cause, whatever the outcome."""
        return min(1.0, sum(one.back for one in self._outcomes.values()) / sum(self.settled))

    def outcomes(self, shop: Shop, possible: Callable[[str], bool]) -> tuple[End, ...]:
        """The outcomes, the likeliest first; ties by their faults.

        `possible`: whether some build that the car may be can have a fault. One that none can have is not named, and
        outcomes that differ in nothing else are one.
        """
        merged: dict[frozenset[str], _Outcome] = {}
        for one in self._outcomes.values():
            faults = tuple(fault for fault in one.faults if possible(fault)) or one.faults
            merged.setdefault(frozenset(faults), _Outcome(faults)).take(one)
        found = (_mean(one, shop) for one in merged.values())
        return tuple(sorted(found, key=lambda one: (-one.probability, one.faults)))


def _mean(one: _Outcome, shop: Shop) -> End:
    chances = np.array(one.chances)
    weights = chances / chances.sum()
    hours, parts = np.array(one.hours), np.array(one.parts)
    labour = shop.labour_rate * hours
    return End(
        faults=one.faults,
        probability=min(1.0, float(chances.sum())),
        hours=float(weights @ hours),
        parts=float(weights @ parts),
        cost=float(weights @ (labour + parts)),
        price=taxed(shop, float(weights @ net(shop, labour, parts))),
        residual=min(1.0, one.back / float(chances.sum())),
    )
