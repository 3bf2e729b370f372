"""The work of a scope in order, and why each step is in it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias

from diagtree.graph.labour import Labour, closure
from diagtree.graph.pricing import NOTHING, mean_hours
from diagtree.graph.work import plan
from diagtree.model.engine import Step
from diagtree.model.fault import Fault

ReasonKind: TypeAlias = Literal["mends", "brings", "access", "opened"]


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a step is in a scope.

    Attributes:
        kind: `mends` a fault, `brings`: done along with a step, `access` to a step, `opened` for a check.
        of: the id of that fault, step or check.
        say: the library's own reason, for `brings`.
    """

    kind: ReasonKind
    of: str
    say: str = ""


@dataclass(frozen=True, slots=True)
class PlanLine:
    """A step of the plan, its mean hours, and why it is there: all reasons of the strongest kind."""

    step: Step
    hours: Fraction
    reasons: tuple[Reason, ...]


def hours_of(work: Labour, steps: Iterable[str]) -> Fraction:
    """The sum of the mean hours, each step once."""
    return sum((mean_hours(work.steps[name].hours) for name in set(steps)), NOTHING)


def plan_lines(work: Labour, faults: Iterable[Fault], opened: Mapping[str, Iterable[str]]) -> tuple[PlanLine, ...]:
    """The closure of the faults' repairs and of what the checks opened, in the order in which it is done.

    Args:
        work: the labour of the build.
        faults: those to mend.
        opened: check -> the steps that it is behind.
    """
    mended = tuple(faults)
    repair = closure(work, (step for fault in mended for step in fault.repair))
    behind = {check: closure(work, steps) for check, steps in opened.items()}
    everything = repair.union(*behind.values())
    return tuple(
        PlanLine(work.steps[name], mean_hours(work.steps[name].hours), _reasons(work, name, mended, repair, behind))
        for name in plan(work.engine, everything)
    )


def _reasons(
    work: Labour,
    name: str,
    faults: tuple[Fault, ...],
    repair: frozenset[str],
    behind: Mapping[str, frozenset[str]],
) -> tuple[Reason, ...]:
    mends = tuple(Reason("mends", fault.id) for fault in faults if name in fault.repair)
    needed_by = [step for step in work.steps.values() if name in repair and step.id in repair]
    brings = tuple(Reason("brings", step.id, step.brings[name]) for step in needed_by if name in step.brings)
    access = tuple(Reason("access", step.id) for step in needed_by if name in step.after)
    opened = tuple(Reason("opened", check) for check, steps in behind.items() if name in steps)
    return mends or brings or access or opened
