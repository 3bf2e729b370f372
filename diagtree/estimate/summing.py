"""From the ways of a visit to its estimate: each way's work is billed by stage, then all ways are mixed."""

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import NamedTuple, TypeAlias

import numpy as np

from diagtree.estimate.bills import Bills, Catalogue
from diagtree.estimate.customer import extras, net, taxed
from diagtree.estimate.endings import Ending, Endings
from diagtree.estimate.knowledge import Knowledge
from diagtree.estimate.law import Law, law
from diagtree.estimate.mixture import Atoms, Sum, mixture
from diagtree.estimate.result import STAGES, Deposit, Estimate, Stage
from diagtree.estimate.waiting import Waiting
from diagtree.estimate.ways import Way
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Shop
from diagtree.model.tree import Tree
from diagtree.reason.belief import Belief
from diagtree.reason.tables import Floats

# Chance by units of certain hours, set of three-point hours, and parts.
_Tally: TypeAlias = dict[tuple[int, int, float], float]
_Key: TypeAlias = tuple[int, int, float]


class _Bill(NamedTuple):
    """What a way takes in one build, but for its plain checks."""

    stages: tuple[_Key, _Key, _Key]  # the work up to each stage
    reached: tuple[bool, bool]  # whether there is work of the strip-down's own, and of the repair's own
    close: tuple[float, float] | None  # hours and parts of what is only taken off and closed; None: nothing opened
    owing: frozenset[str]
    last: int  # the last stage that has work, a place in STAGES
    hours: float  # mean
    unmended: Floats  # (causes of the tree in which it ends,): 1 for those that it does not mend


class Summing:
    """Ways come in; the estimate comes out."""

    __slots__ = (
        "_bills",
        "_catalogue",
        "_close",
        "_endings",
        "_engine",
        "_met",
        "_now",
        "_of",
        "_owing",
        "_plain",
        "_reached",
        "_stages",
    )

    def __init__(self, of: Knowledge, now: Belief, engine: Engine, slow: float) -> None:
        self._of = of
        self._now = now
        self._engine = engine
        self._catalogue = Catalogue(of, engine, slow)
        self._plain = self._catalogue.unit // of.unit
        self._bills = [Bills(of, engine, build, self._catalogue) for build in now.builds]
        self._met: dict[tuple[int, str, int, tuple[str, ...] | None], _Bill] = {}
        self._endings = Endings()
        self._stages: tuple[_Tally, _Tally, _Tally] = ({}, {}, {})  # the work up to each stage
        self._reached: tuple[_Tally, _Tally] = ({}, {})  # the same up to strip-down and repair, where they are reached
        # Hours and parts of what is only taken off and closed -> chance
        self._close: dict[tuple[float, float], float] = {}
        self._owing: dict[str, float] = {}  # part with a deposit -> chance

    def add(self, way: Way, columns: Sequence[int]) -> None:
        """One more way, in the builds of these columns of the belief."""
        chances = way.chances.sum(axis=0).tolist()
        for at, column in enumerate(columns):
            if chances[at] > 0.0:
                self._sum(way, self._billed(way, column), way.chances[:, at], chances[at])

    def _sum(self, way: Way, bill: "_Bill", causes: Floats, chance: float) -> None:
        early, late = way.work.early * self._plain, way.work.late * self._plain
        for tally, more, (units, spread, parts) in zip(
            self._stages, (early, early + late, early + late), bill.stages, strict=True
        ):
            key = (units + more, spread, parts)
            tally[key] = tally.get(key, 0.0) + chance
        for tally, reached, (units, spread, parts) in zip(self._reached, bill.reached, bill.stages[1:], strict=True):
            if reached:
                key = (units + early + late, spread, parts)
                tally[key] = tally.get(key, 0.0) + chance
        if bill.close:
            self._close[bill.close] = self._close.get(bill.close, 0.0) + chance
        for part in bill.owing:
            self._owing[part] = self._owing.get(part, 0.0) + chance
        hours, parts = bill.hours + (early + late) / self._catalogue.unit, bill.stages[-1][2]
        self._endings.add(
            way,
            Ending(causes, chance, bill.unmended, bill.last, hours, bill.stages[-1][2]),
            opened=bill.close is not None,
        )

    def _billed(self, way: Way, column: int) -> "_Bill":
        key = (column, way.tree, way.work.special, way.faults)
        found = self._met.get(key)
        if found is None:
            found = self._met[key] = self._bill(way, self._bills[column])
        return found

    def _bill(self, way: Way, bills: Bills) -> "_Bill":
        done = bills.checks(way.work.special)
        wanted = bills.repair(way.faults or ())
        every = done.opened | wanted
        looking = done.behind.plus(bills.steps(done.opened))
        whole = done.outside.plus(done.behind).plus(bills.steps(every))
        early = bills.order(done.early, 0).cost
        opened = bills.order(done.using, done.opened).cost
        order = bills.order(done.using, every)
        mending = wanted & ~done.opened
        closing = (self._catalogue.mean(bills.steps(done.opened)), bills.order(0, done.opened).cost)
        return _Bill(
            stages=(
                (*done.outside, early),
                (*done.outside.plus(looking), opened),
                (*whole, order.cost),
            ),
            reached=(bool(done.opened), bool(mending)),
            close=closing if done.opened else None,
            owing=order.owing,
            last=2 if mending else 1 if done.opened else 0,
            hours=self._catalogue.mean(whole),
            unmended=bills.unmended(way.tree, every),
        )

    def estimate(self, tree: Tree, slow: float, waiting: Callable[[], Waiting | None]) -> Estimate:
        """The estimate of all ways that came in. `waiting`: reckons the waits of the visit."""
        shop = self._of.library.rates
        atoms = [self._mixed(tally) for tally in self._stages]
        whole = atoms[-1]
        nets = [_net(shop, one) for one in atoms]
        shares = [float(column.sum()) for column in self._now.joint.T]
        possible = [at for at, share in enumerate(shares) if share > 0.0]
        builds = tuple(self._now.builds[at] for at in possible)
        stages = self._stages_of(shop, atoms, nets)
        return Estimate(
            library=self._of.library,
            tree=tree,
            engine=self._engine,
            builds=builds,
            shares=tuple(shares[at] for at in possible),
            open=_differing(self._engine, builds),
            findings=tuple(self._of.findings.values()),
            slow=slow,
            belief=self._now,
            outcomes=self._endings.outcomes(shop, self._possible(builds)),
            hours=law(whole.hours, whole.chances, whole.mean_hours),
            cost=_cost(shop, whole),
            net=nets[-1],
            price=_taxed(shop, nets[-1]),
            stages=stages,
            close_up=self._close_up(shop),
            extras=tuple(_mean_extras(shop, whole)),
            residual=self._endings.residual,
            deposits=self._deposits(),
            grid=max(one.grid for one in atoms),
            reckon_reaching=lambda: self._reaching(shop, stages),
            reckon_waiting=waiting,
        )

    def _possible(self, builds: Sequence[Build]) -> Callable[[str], bool]:
        faults = self._of.library.faults
        return lambda name: name not in faults or any(faults[name].when.admits(one.features) for one in builds)

    def _reaching(self, shop: Shop, stages: Sequence[Stage]) -> tuple[Law | None, ...]:
        first, *others = stages
        return (
            first.price,
            *(
                stage.price if stage.always else _taxed(shop, _net(shop, self._mixed(tally))) if tally else None
                for stage, tally in zip(others, self._reached, strict=True)
            ),
        )

    def _mixed(self, tally: _Tally) -> Atoms:
        unit = self._catalogue.unit
        sums = (
            Sum(chance, Fraction(units, unit), self._catalogue.names(spread), parts)
            for (units, spread, parts), chance in tally.items()
        )
        return mixture(sums, self._catalogue.points)

    def _stages_of(self, shop: Shop, atoms: Sequence[Atoms], nets: Sequence[Law]) -> tuple[Stage, ...]:
        reached = [1.0, *(sum(tally.values()) for tally in self._reached)]
        settled = self._endings.settled
        before = [0.0, *(one.mean for one in nets)]
        return tuple(
            Stage(
                stage=name,
                reached=reached[at],
                settled=settled[at],
                found=self._endings.found[min(at, 1)],
                hours=law(atoms[at].hours, atoms[at].chances, atoms[at].mean_hours),
                cost=_cost(shop, atoms[at]),
                price=_taxed(shop, nets[at]),
                share=max(0.0, nets[at].mean - before[at]),
            )
            for at, name in enumerate(STAGES)
        )

    def _close_up(self, shop: Shop) -> float | None:
        if not self._close:
            return None
        # Way by way, as an extra with a limit of their mean is more than the mean of their extras.
        hours, parts = np.array([*self._close]).T
        chances = np.array([*self._close.values()])
        return taxed(shop, float(net(shop, shop.labour_rate * hours, parts) @ chances / chances.sum()))

    def _deposits(self) -> tuple[Deposit, ...]:
        found = [Deposit(self._engine.parts[name], min(1.0, chance)) for name, chance in self._owing.items()]
        return tuple(sorted(found, key=lambda one: (-one.probability, one.part.id)))


def _cost(shop: Shop, atoms: Atoms) -> Law:
    mean = shop.labour_rate * atoms.mean_hours + atoms.mean_parts
    return law(shop.labour_rate * atoms.hours + atoms.parts, atoms.chances, mean)


def _net(shop: Shop, atoms: Atoms) -> Law:
    mean = shop.labour_rate * atoms.mean_hours + atoms.mean_parts + sum(_mean_extras(shop, atoms))
    return law(net(shop, shop.labour_rate * atoms.hours, atoms.parts), atoms.chances, mean)


def _mean_extras(shop: Shop, atoms: Atoms) -> list[float]:
    """The mean of each extra: exact where it has no limit, else by the grid."""
    charges = extras(shop, shop.labour_rate * atoms.hours, atoms.parts)
    one = (np.array([shop.labour_rate * atoms.mean_hours]), np.array([atoms.mean_parts]))
    exactly = extras(shop, *one)
    return [
        float(exactly[at][0]) if extra.limit is None else float(charges[at] @ atoms.chances)
        for at, extra in enumerate(shop.extras)
    ]


def _taxed(shop: Shop, amounts: Law) -> Law:
    factor = taxed(shop, 1.0)
    return Law(amounts.values * factor, amounts.cumulative, amounts.mean * factor)


def _differing(engine: Engine, builds: Sequence[Build]) -> dict[str, tuple[str, ...]]:
    """The features in which these builds differ, with the values that they have."""
    found = {}
    for name in engine.features:
        values = tuple(dict.fromkeys(build.features[name] for build in builds if name in build.features))
        if len(values) > 1:
            found[name] = values
    return found
