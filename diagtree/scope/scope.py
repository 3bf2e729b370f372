"""The scope of a repair, for one build or for all that are still possible."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TypeVar

from diagtree.graph.work import plan
from diagtree.model.engine import Build, Engine
from diagtree.model.fault import Fault
from diagtree.model.library import Library
from diagtree.scope.consulted import consulted
from diagtree.scope.differing import Marked, When, gather, values_of
from diagtree.scope.offers import Offer
from diagtree.scope.parts import PartLine, Purchase
from diagtree.scope.plan import PlanLine, Reason
from diagtree.scope.repair import CloseUp, Repair, repair

Figure = TypeVar("Figure")

NO_ENGINE = "The library has no engine: what is to be done, its hours and its parts are not known."


@dataclass(frozen=True, slots=True)
class Alternative:
    """Possible builds that need the same.

    Attributes:
        builds: those builds.
        repair: what each of them needs (worked out for the first of them).
        offers: all that is on offer in any of them, marked where it is not in all.
    """

    builds: tuple[Build, ...]
    repair: Repair
    offers: tuple[Marked[Offer], ...]

    def features(self, names: Iterable[str]) -> When:
        """The values that these builds have of some features."""
        return values_of(self.builds, names)


@dataclass(frozen=True, slots=True)
class Scope:
    """What mending these faults needs.

    Attributes:
        library: where it was read.
        engine: the engine, or the stand-in of a library without one.
        builds: those still possible.
        faults: those to mend, as asked for.
        alternatives: one for each distinct result, at least one.
        steps, parts, buy, offers: of all alternatives, marked where they are not in all.
        hours, parts_cost, buy_cost, close_up: None where they differ (`close_up` also where no checks were made).
        open: feature -> its possible values, where another value would change the result.
        remarks: sentences on what could not be reckoned.
    """

    library: Library
    engine: Engine
    builds: tuple[Build, ...]
    faults: tuple[Fault, ...]
    alternatives: tuple[Alternative, ...]
    steps: tuple[Marked[PlanLine], ...]
    hours: Fraction | None
    parts: tuple[Marked[PartLine], ...]
    parts_cost: Fraction | None
    buy: tuple[Marked[Purchase], ...]
    buy_cost: Fraction | None
    offers: tuple[Marked[Offer], ...]
    close_up: CloseUp | None
    open: Mapping[str, tuple[str, ...]]
    remarks: tuple[str, ...]


def scope(
    library: Library,
    engine: Engine,
    builds: Sequence[Build],
    faults: Sequence[Fault],
    opened: Mapping[str, tuple[str, ...]] | None = None,
) -> Scope:
    """The scope that mends `faults`, with what checks opened.

    Args:
        library: for the labour rate and all titles.
        engine: one of its engines, or `ONLY_ENGINE`.
        builds: its builds that are still possible, at least one.
        faults: those to mend; none gives the bill of closing up. A fault that a build cannot have is left out there.
        opened: check -> the steps that it is behind, for the checks made; None (no `close_up`) where none were asked.

    Raises:
        ValueError: no builds. `choose_builds` refuses that: our bug.
    """
    if not builds:
        message = "a scope needs at least one possible build"
        raise ValueError(message)
    rate = library.rates.labour_rate
    each = [repair(engine, build, faults, opened, rate) for build in builds]
    groups = _group(each)
    opens = _open(engine, groups, consulted(engine, each, faults, opened or {}))
    telling = (*opens, *(name for name in _features(engine, builds) if name not in opens))
    return Scope(
        library=library,
        engine=engine,
        builds=tuple(builds),
        faults=tuple(faults),
        alternatives=tuple(_alternative(group, telling) for group in groups),
        steps=_steps(engine, each, telling),
        hours=_same(one.hours for one in each),
        parts=_parts(engine, each, telling),
        parts_cost=_same(one.parts_cost for one in each),
        buy=_buy(engine, each, telling),
        buy_cost=_same(one.buy_cost for one in each),
        offers=_offers(engine, each, telling),
        close_up=_same(one.close_up for one in each),
        open=opens,
        remarks=_remarks(each) if library.engines else (NO_ENGINE,),
    )


def _same(figures: Iterable[Figure]) -> Figure | None:
    first, *others = figures
    return first if all(other == first for other in others) else None


def _group(each: Sequence[Repair]) -> list[list[Repair]]:
    groups: list[list[Repair]] = []
    for one in each:
        for group in groups:
            if not one.differs(group[0]):
                group.append(one)
                break
        else:
            groups.append([one])
    return groups


def _features(engine: Engine, builds: Iterable[Build]) -> tuple[str, ...]:
    """The features that builds have, in the engine's order."""
    return tuple(dict.fromkeys((*engine.features, *(name for build in builds for name in build.features))))


def _open(engine: Engine, groups: Sequence[Sequence[Repair]], asked: frozenset[str]) -> dict[str, tuple[str, ...]]:
    """The features asked for in which two builds with different results differ, with the values left."""
    everything = [one.build for group in groups for one in group]
    found: dict[str, tuple[str, ...]] = {}
    for name in _features(engine, everything):
        left = {build.features[name] for build in everything if name in build.features}
        differing = len({build.features.get(name) for build in everything}) > 1
        # With two values and two results, some pair of builds differs in both: were all such pairs within one
        # group, a build of another group would still differ from one of them.
        if name in asked and len(groups) > 1 and differing:
            listed = engine.features[name].values if name in engine.features else ()
            found[name] = tuple(dict.fromkeys((*(value for value in listed if value in left), *sorted(left))))
    return found


def _alternative(group: Sequence[Repair], features: Sequence[str]) -> Alternative:
    builds = tuple(one.build for one in group)
    listed = {one.build.id: [(_offer_key(offer), offer) for offer in one.offers] for one in group}
    marked = gather(listed, builds, features, lambda offer: offer.step.when.features)
    return Alternative(builds, group[0], marked)


def _steps(engine: Engine, each: Sequence[Repair], features: Sequence[str]) -> tuple[Marked[PlanLine], ...]:
    """The steps of all builds in one order, each with every reason that it has in any of them."""
    reasons: dict[str, dict[Reason, None]] = {}
    for one in each:
        for line in one.steps:
            reasons.setdefault(line.step.id, {}).update(dict.fromkeys(line.reasons))
    listed = {
        one.build.id: [(line.step.id, _with_reasons(line, reasons[line.step.id])) for line in one.steps] for one in each
    }
    place = {name: at for at, name in enumerate(plan(engine, reasons))}
    found = gather(listed, [one.build for one in each], features, lambda line: line.step.when.features)
    return tuple(sorted(found, key=lambda marked: place[marked.entry.step.id]))


def _with_reasons(line: PlanLine, reasons: Iterable[Reason]) -> PlanLine:
    return replace(line, reasons=tuple(reasons))


def _parts(engine: Engine, each: Sequence[Repair], features: Sequence[str]) -> tuple[Marked[PartLine], ...]:
    listed = {
        one.build.id: [((line.part.id, line.number, line.quantity, line.price), line) for line in one.parts]
        for one in each
    }
    place = {name: at for at, name in enumerate(engine.parts)}
    found = gather(listed, [one.build for one in each], features, _asked_by)
    return tuple(sorted(found, key=lambda marked: place[marked.entry.part.id]))


def _asked_by(line: PartLine) -> tuple[str, ...]:
    return tuple(name for number in line.part.numbers for name in number.when.features)


def _buy(engine: Engine, each: Sequence[Repair], features: Sequence[str]) -> tuple[Marked[Purchase], ...]:
    listed = {one.build.id: [((line.number, line.count, line.price), line) for line in one.buy] for one in each}
    asked = {number.number: number.when.features for part in engine.parts.values() for number in part.numbers}
    asked |= {kit.number: kit.when.features for kit in engine.kits}
    found = gather(listed, [one.build for one in each], features, lambda line: asked[line.number])
    return tuple(sorted(found, key=lambda marked: marked.entry.number))


def _offer_key(offer: Offer) -> tuple[str, Fraction, Fraction, Fraction]:
    return offer.step.id, offer.saving, offer.hours, offer.cost


def _offers(engine: Engine, each: Sequence[Repair], features: Sequence[str]) -> tuple[Marked[Offer], ...]:
    listed = {one.build.id: [(_offer_key(offer), offer) for offer in one.offers] for one in each}
    place = {name: at for at, name in enumerate(engine.work)}
    found = gather(listed, [one.build for one in each], features, lambda offer: offer.step.when.features)
    return tuple(sorted(found, key=lambda marked: place[marked.entry.step.id]))


def _remarks(each: Sequence[Repair]) -> tuple[str, ...]:
    """Each remark once; it names the builds where it does not hold for all."""
    meant: dict[str, list[str]] = {}
    for one in each:
        for remark in dict.fromkeys(one.remarks):
            meant.setdefault(remark, []).append(one.build.id)
    return tuple(
        remark if len(builds) == len(each) else f"{remark} (Build: {', '.join(builds)}.)"
        for remark, builds in meant.items()
    )
