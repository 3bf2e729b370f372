"""What ways of a visit take in one build: hours, certain and spread, and the cheapest order of parts, by stage.

Sets of checks and of steps are integers, a bit each, so that ways that take the same are looked up, not reckoned again.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import NamedTuple

import numpy as np

from diagtree.estimate.knowledge import Knowledge
from diagtree.estimate.orders import Order, Orders
from diagtree.graph.labour import Labour, closure, labour
from diagtree.graph.pricing import exact, mean_hours
from diagtree.model.check import Check
from diagtree.model.engine import Build, Engine, Step
from diagtree.model.quantity import Hours
from diagtree.reason.tables import Floats


class Load(NamedTuple):
    """Hours: so many of the catalogue's units that are certain, and a set of its three-point variables."""

    units: int
    spread: int

    def plus(self, other: "Load") -> "Load":
        """Both together. They share no variable."""
        return Load(self.units + other.units, self.spread | other.spread)


NO_LOAD = Load(0, 0)


class Catalogue:
    """The hours of checks and steps in whole units of `1 / unit` hours; the three-point ones as variables, a bit each.

    A check's own hours are not stretched: a reading takes as long on a rusted car.
    """

    __slots__ = ("_bits", "_loads", "_means", "points", "slow", "unit")

    def __init__(self, of: Knowledge, engine: Engine, slow: float) -> None:
        self.slow = exact(slow)
        checks = [of.library.checks[name] for name in (*of.names, *of.findings)]
        certain = [exact(check.hours.likely) for check in checks]
        certain += [exact(step.hours.likely) * self.slow for step in engine.work.values()]
        self.unit = lcm(of.unit, *(hours.denominator for hours in certain))
        self.points: dict[str, Hours] = {}  # in the order of their bits
        self._bits: dict[str, int] = {}
        self._loads: dict[str, Load] = {}
        self._means: dict[int, float] = {}

    def check(self, check: Check) -> Load:
        """A check's own hours."""
        return self._known(f"check {check.id}", check.hours, Fraction(1))

    def step(self, step: Step) -> Load:
        """A work step's hours, stretched."""
        return self._known(f"step {step.id}", step.hours, self.slow)

    def names(self, spread: int) -> tuple[str, ...]:
        """The variables of a set."""
        return tuple(name for at, name in enumerate(self.points) if spread >> at & 1)

    def mean(self, load: Load) -> float:
        """The mean hours of a load."""
        if load.spread not in self._means:
            self._means[load.spread] = float(sum(mean_hours(self.points[name]) for name in self.names(load.spread)))
        return load.units / self.unit + self._means[load.spread]

    def _known(self, name: str, hours: Hours, slow: Fraction) -> Load:
        if name not in self._loads:
            self._loads[name] = self._load(name, hours, slow)
        return self._loads[name]

    def _load(self, name: str, hours: Hours, slow: Fraction) -> Load:
        low, likely, high = (exact(value) * slow for value in (hours.optimistic, hours.likely, hours.pessimistic))
        if low == high:
            return Load(int(likely * self.unit), 0)
        if name not in self._bits:
            self._bits[name] = 1 << len(self.points)
            self.points[name] = Hours(float(low), float(likely), float(high))
        return Load(0, self._bits[name])


@dataclass(frozen=True, slots=True)
class Checks:
    """What some checks take.

    Attributes:
        outside: the hours of those that open nothing.
        behind: the hours of those that open something.
        opened: the steps that they open, closed.
        using: those of them that use parts up, as a set of the build's checks; `early`, those that open nothing.
    """

    outside: Load
    behind: Load
    opened: int
    using: int
    early: int


class Bills:
    """The work of one build, with what was met looked up."""

    __slots__ = (
        "_base",
        "_checks",
        "_each",
        "_left",
        "_needs",
        "_of",
        "_orders",
        "_paid",
        "_places",
        "_repairs",
        "_steps",
        "_using",
        "catalogue",
        "work",
    )

    def __init__(self, of: Knowledge, engine: Engine, build: Build, catalogue: Catalogue) -> None:
        self._of = of
        self.work: Labour = labour(engine, build)
        self.catalogue = catalogue
        self._places = {step: 1 << at for at, step in enumerate(self.work.steps)}
        checks = [of.library.checks[name] for name in dict.fromkeys((*of.names, *of.findings))]
        takes = [*(check.takes for check in checks), *(step.takes for step in self.work.steps.values())]
        self._orders = Orders(engine, build, (take for each in takes for take in each))
        self._needs = [self._orders.needs(step.takes) for step in self.work.steps.values()]
        self._using = [(check.id, self._orders.needs(check.takes)) for check in checks if check.takes]
        self._each = {check.id: self._alone(check) for check in checks}
        self._checks: dict[int, Checks] = {}
        self._steps: dict[int, Load] = {}
        self._left: dict[tuple[str, int], Floats] = {}
        self._repairs: dict[tuple[str, ...], int] = {}
        self._paid: dict[tuple[int, int], Order] = {}
        self._base = _together(self._each[name] for name in of.findings)

    def checks(self, special: int) -> Checks:
        """What a set of `Work.special` takes, with the checks that were answered before the start."""
        found = self._checks.get(special)
        if found is None:
            lines = [line for at, line in enumerate(self._of.lines) if special >> at & 1]
            met = (self._each[line] if isinstance(line, str) else self._access(line) for line in lines)
            found = self._checks[special] = _together((self._base, *met))
        return found

    def _access(self, steps: tuple[str, ...]) -> Checks:
        return Checks(NO_LOAD, NO_LOAD, self._closed(steps), 0, 0)

    def repair(self, faults: tuple[str, ...]) -> int:
        """The closed set of the repairs of faults; one that the build cannot have asks for none."""
        found = self._repairs.get(faults)
        if found is None:
            known = [self._of.library.faults[name] for name in faults if name in self._of.library.faults]
            here = [fault for fault in known if fault.when.admits(self.work.build.features)]
            found = self._repairs[faults] = self._closed(step for fault in here for step in fault.repair)
        return found

    def unmended(self, tree: str, steps: int) -> Floats:
        """(causes,): 1 for the causes of a tree that come back though these steps are done."""
        found = self._left.get((tree, steps))
        if found is None:
            library = self._of.library
            faults = library.faults.keys() - {node.tree for node in library.trees[tree].onwards}
            found = self._left[tree, steps] = np.array(
                [float(not (cause in faults and self._mended(steps, cause))) for cause in self._of.causes(tree)]
            )
        return found

    def _mended(self, steps: int, fault: str) -> bool:
        wanted = self._of.library.faults[fault].repair
        return all(self._places[step] & steps for step in wanted if step in self._places)

    def steps(self, mask: int) -> Load:
        """The hours of a set of steps."""
        found = self._steps.get(mask)
        if found is None:
            found = NO_LOAD
            for at, step in enumerate(self.work.steps.values()):
                if mask >> at & 1:
                    found = found.plus(self.catalogue.step(step))
            self._steps[mask] = found
        return found

    def order(self, using: int, steps: int) -> Order:
        """The cheapest order that covers checks, by their bits of those that use parts up, and steps."""
        found = self._paid.get((using, steps))
        if found is None:
            each = [needs for at, (_, needs) in enumerate(self._using) if using >> at & 1]
            each += [needs for at, needs in enumerate(self._needs) if steps >> at & 1 and any(needs)]
            found = self._paid[using, steps] = self._orders.order(each)
        return found

    def _alone(self, check: Check) -> Checks:
        access = self._closed(check.behind) if check.when.admits(self.work.build.features) else 0
        used = sum(1 << at for at, (name, _) in enumerate(self._using) if name == check.id)
        load = self.catalogue.check(check)
        return Checks(NO_LOAD, load, access, used, 0) if access else Checks(load, NO_LOAD, 0, used, used)

    def _closed(self, wanted: Iterable[str]) -> int:
        return sum(self._places[step] for step in closure(self.work, wanted))


def _together(every: Iterable[Checks]) -> Checks:
    outside, behind, opened, using, early = NO_LOAD, NO_LOAD, 0, 0, 0
    for one in every:
        outside, behind = outside.plus(one.outside), behind.plus(one.behind)
        opened, using, early = opened | one.opened, using | one.using, early | one.early
    return Checks(outside, behind, opened, using, early)
