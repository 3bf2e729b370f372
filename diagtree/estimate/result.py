"""What an estimate says: outcomes, stages, the whole law of hours and money, and the twenty dots."""

from bisect import bisect_left
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import floor
from typing import Literal, TypeAlias

from diagtree.estimate.law import REACHED, Law
from diagtree.estimate.waiting import Waiting
from diagtree.model.engine import Build, Engine, Part
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.belief import Belief
from diagtree.reason.finding import Finding

StageName: TypeAlias = Literal["diagnosis", "strip-down", "repair"]
STAGES: tuple[StageName, ...] = ("diagnosis", "strip-down", "repair")

DOTS = 20
_EACH = 5  # cars of 100 that a dot stands for


@dataclass(frozen=True, slots=True)
class End:
    """An outcome that the visit may come to. Hours, parts and cost are means over the ways that lead to it.

    Attributes:
        faults: as the tree first writes them, without those that no possible build can have; empty where the tree has
            no way on.
        probability: P(outcome | answers so far), above 0; those of an estimate sum to 1.
        hours: of the whole visit, checks already answered among it.
        parts: the cheapest order, in the shop's currency before tax.
        cost: hours times the labour rate, plus parts; before extras and tax.
        price: what the customer pays: extras and tax among it, extras reckoned on the mean of each way.
        residual: how often a car that is mended for this would come back with another cause.
    """

    faults: tuple[str, ...]
    probability: float
    hours: float
    parts: float
    cost: float
    price: float
    residual: float


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """A stage of the visit, cumulative: `diagnosis`, then `strip-down` with it, then `repair` with all.

    Attributes:
        reached: how often a visit has work of this very stage (diagnosis: always).
        settled: how often the visit ends with it. The three sum to 1.
        found: how often it is known by the end of it what the outcome is.
        hours, cost: over all visits, of the work up to this stage; cost before extras and tax.
        price: the same as the customer pays, extras and tax among it.
        share: the mean of this stage's own work over all visits, extras among it, before tax; the three sum to the mean
            of `Estimate.net`.
    """

    stage: StageName
    reached: float
    settled: float
    found: float
    hours: Law
    cost: Law
    price: Law
    share: float

    @property
    def always(self) -> bool:
        """Whether every visit reaches it."""
        return self.reached > 1 - REACHED


@dataclass(frozen=True, slots=True)
class Deposit:
    """A deposit that comes back with the old part: printed, not reckoned."""

    part: Part
    probability: float  # that the part is needed


@dataclass(frozen=True, eq=False)
class Estimate:
    """What a visit takes, given the answers so far. Money in the shop's currency.

    Each law is the whole distribution: `.spread` gives mean and percentiles, `.percentile(0.8)`, `.within(640.0)`.
    """

    library: Library
    tree: Tree
    engine: Engine
    builds: tuple[Build, ...]  # those of chance above 0, in the engine's order
    shares: tuple[float, ...]  # P(build | answers) of each
    open: Mapping[str, tuple[str, ...]]  # feature -> its values among those builds, where they differ
    findings: tuple[Finding, ...]  # the answers so far
    slow: float  # by how much every work step's hours are stretched
    belief: Belief
    outcomes: tuple[End, ...]  # the likeliest first
    hours: Law
    cost: Law  # hours times the labour rate, plus parts
    net: Law  # cost and extras, before tax
    price: Law  # what the customer pays: cost, extras and tax, not rounded
    stages: tuple[Stage, ...]  # of STAGES, in order
    close_up: float | None  # mean of taking off and closing what checks open, with extras and tax; None: nothing opened
    extras: tuple[float, ...]  # mean of each of the shop's extras, in order
    residual: float  # how often the car would come back with another cause, whatever the outcome
    deposits: tuple[Deposit, ...]  # the likeliest first
    grid: float  # hours between two cells of the grid of three-point hours; 0 where there are none
    reckon_reaching: Callable[[], tuple[Law | None, ...]]  # `reaching`; only who reads it pays for it
    reckon_waiting: Callable[[], Waiting | None]  # `waiting`, likewise

    @cached_property
    def reaching(self) -> tuple[Law | None, ...]:
        """What the work up to each stage costs the customer in those visits that reach it; None where none does.

        What to authorise once a stage is reached: `Stage.price` counts the visits that never get there, too.
        """
        return self.reckon_reaching()

    @cached_property
    def waiting(self) -> Waiting | None:
        """The waits still to come, such as a cold soak; None where there are too many ways."""
        return self.reckon_waiting()

    @cached_property
    def dots(self) -> tuple[float, ...]:
        """Twenty prices, ascending: each dot stands for 5 of 100 such cars.

        A dot is the least price within which its count of cars falls, as counts are read: so the dots within any
        amount are `dots_within` it.
        """
        law = self.price
        every = range(len(law.values))
        places = (
            bisect_left(every, dot, key=lambda at: count(float(law.cumulative[at]))) for dot in range(1, DOTS + 1)
        )
        return tuple(float(law.values[at]) for at in places)

    def dots_within(self, amount: float) -> int:
        """How many of the twenty dots cost the customer at most `amount`: the count of cars in 100, by fives."""
        return count(self.price.within(amount))


def count(chance: float) -> int:
    """How many of twenty dots stand for a chance, as `about 40 in 100` is said: to the nearest 5 in 100.

    None where fewer than 5 in 100 is said, and all twenty only where more than 95 in 100 is.
    """
    percent = 100 * chance
    if percent < _EACH - REACHED:
        return 0
    if percent > 100 - _EACH + REACHED:
        return DOTS
    return floor(percent / _EACH + 0.5 + REACHED)


@dataclass(frozen=True, slots=True)
class TooMany:
    """More ways through the tree than can be reckoned exactly. `states` were met."""

    states: int
