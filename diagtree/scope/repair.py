"""What one build needs: plan, hours, parts, order, offers."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from diagtree.graph.labour import Labour, closure, labour
from diagtree.graph.pricing import NOTHING, exact
from diagtree.model.engine import Build, Engine
from diagtree.model.fault import Fault
from diagtree.scope.offers import Offer, offers
from diagtree.scope.parts import PartLine, Purchase, bill, buying, part_lines, single_cost, takes_of
from diagtree.scope.plan import PlanLine, hours_of, plan_lines


@dataclass(frozen=True, slots=True)
class CloseUp:
    """The bill if what the checks opened is only closed: hours, parts at single prices, both together."""

    hours: Fraction
    parts_cost: Fraction
    cost: Fraction


@dataclass(frozen=True, slots=True)
class Repair:
    """The work of one build and what it takes.

    Attributes:
        hours: the sum of the mean hours.
        parts_cost: at single prices.
        buy: the cheapest order; `buy_cost` is what it costs.
        close_up: None where nothing was said of checks.
        remarks: sentences on what could not be reckoned.
    """

    build: Build
    steps: tuple[PlanLine, ...]
    hours: Fraction
    parts: tuple[PartLine, ...]
    parts_cost: Fraction
    buy: tuple[Purchase, ...]
    buy_cost: Fraction
    offers: tuple[Offer, ...]
    close_up: CloseUp | None
    remarks: tuple[str, ...]

    def differs(self, other: "Repair") -> bool:
        """Whether work, parts or order are not the same. What is only on offer does not count."""
        return (self.steps, self.parts, self.buy, self.close_up) != (
            other.steps,
            other.parts,
            other.buy,
            other.close_up,
        )


def repair(
    engine: Engine, build: Build, faults: Iterable[Fault], opened: Mapping[str, Iterable[str]] | None, rate: float
) -> Repair:
    """What mending `faults` needs in a build, with what checks opened, closed again.

    Args:
        engine: whose work it is.
        build: one of its builds.
        faults: those to mend; one that the build cannot have is left out, with a remark.
        opened: check -> the steps that it is behind; None where no checks were made.
        rate: labour rate per hour.
    """
    work = labour(engine, build)
    wanted = tuple(faults)
    mended = tuple(fault for fault in wanted if fault.when.admits(build.features))
    steps = plan_lines(work, mended, opened or {})
    names = [line.step.id for line in steps]
    parts = part_lines(engine, build, takes_of(work, names))
    buy = buying(engine, build, parts)
    return Repair(
        build=build,
        steps=steps,
        hours=sum((line.hours for line in steps), NOTHING),
        parts=parts,
        parts_cost=single_cost(parts),
        buy=buy,
        buy_cost=bill(buy),
        offers=offers(work, frozenset(names), rate),
        close_up=None if opened is None else _close_up(work, opened, rate),
        remarks=(*_left_out(wanted, mended), *_no_work(work, mended), *_no_number(work, names, parts)),
    )


def _close_up(work: Labour, opened: Mapping[str, Iterable[str]], rate: float) -> CloseUp:
    steps = closure(work, (step for behind in opened.values() for step in behind))
    hours = hours_of(work, steps)
    parts = single_cost(part_lines(work.engine, work.build, takes_of(work, steps)))
    return CloseUp(hours, parts, exact(rate) * hours + parts)


def _left_out(wanted: tuple[Fault, ...], mended: tuple[Fault, ...]) -> Iterator[str]:
    for fault in wanted:
        if fault not in mended:
            yield f"'{fault.title}' cannot be in this build: its work is left out."


def _no_work(work: Labour, mended: tuple[Fault, ...]) -> Iterator[str]:
    for fault in mended:
        missing = [step for step in fault.repair if step not in work.engine.work]
        if missing:
            listed = ", ".join(f"'{step}'" for step in missing)
            yield f"The engine has no work {listed}: '{fault.title}' is not wholly mended."
        elif fault.repair and not any(step in work.steps for step in fault.repair):
            yield f"The library has no work for '{fault.title}' in this build."


def _no_number(work: Labour, names: list[str], parts: tuple[PartLine, ...]) -> Iterator[str]:
    for line in parts:
        if not line.number:
            yield f"No one number of '{line.part.title}' fits this build: its price is not in the sums."
    for take in takes_of(work, names):
        title = work.engine.parts[take.part].title if take.part in work.engine.parts else take.part
        if take.part not in work.engine.parts:
            yield f"The engine has no part '{take.part}': it is not in the sums."
        elif take.quantity.of(work.build.features) is None:
            yield f"How many of '{title}' this build takes is not written: they are not in the sums."
