"""A drill in progress: an immutable value. The trainee picks checks, pays for each, and names the repair."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from diagtree.graph.pricing import exact, mean_hours
from diagtree.measure.trouble import quote
from diagtree.model.fault import LEVELS, Caution
from diagtree.model.tree import Onward, Outcome, Question
from diagtree.practice.car import Car
from diagtree.reason.case import Asked, Case
from diagtree.reason.standing import Standing, answered, start


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """One check that was done."""

    check: Asked
    place: int  # of the answer
    before: Standing
    after: Standing
    price: float  # money: its own, and the access that it opened
    hours: float

    @property
    def answer(self) -> str:
        """The answer's id."""
        return self.check.answers[self.place]

    @property
    def opened(self) -> int:
        """The steps that came off for it, as a set."""
        return self.after.done & ~self.before.done


@dataclass(frozen=True, slots=True)
class Ended:
    """How a drill ended."""

    named: tuple[str, ...]  # the causes whose repairs were named; empty where a forbidden check ended it
    forbidden: str = ""  # the check that an answer forbade, and that was done all the same


@dataclass(frozen=True, eq=False)
class Drill:
    """A car and what was done with it."""

    car: Car
    taken: tuple[Taken, ...] = ()
    ended: Ended | None = None
    looked: int = 0  # how often the odds were asked for

    @property
    def here(self) -> Standing:
        """What the answers so far say."""
        return self.taken[-1].after if self.taken else self._start

    @cached_property
    def _start(self) -> Standing:
        return start(self.car.case)

    @property
    def paid(self) -> float:
        """Money, for checks and access."""
        return sum(one.price for one in self.taken)

    @property
    def hours(self) -> float:
        """Hours, for checks and access."""
        return sum(one.hours for one in self.taken)

    @property
    def offered(self) -> tuple[Asked, ...]:
        """The checks that apply and were not done yet, forbidden ones among them: to know them is part of it."""
        return tuple(check for check in self.car.case.free if check.id not in self.here.findings)


@dataclass(frozen=True, slots=True)
class Refused:
    """Why a move was not taken."""

    sentence: str


def begin(car: Car) -> Drill:
    """A car comes in."""
    return Drill(car)


def ask(drill: Drill, name: str) -> Drill | Refused:
    """Do a check. One that an answer forbids ends the drill: the engine paid for it."""
    of = drill.car.case
    if drill.ended:
        return Refused("The drill has ended.")
    if name in drill.here.findings:
        return Refused(f"'{name}' was done already: it shows '{drill.here.findings[name].answer}'.")
    check = of.checks.get(name)
    if check is None:
        return Refused(f"This tree has no check {quote(name)}.")
    if not check.applies:
        return Refused(f"'{name}' does not apply to this build.")
    if drill.here.forbidden(check):
        return replace(drill, ended=Ended((), name))
    place = drill.car.answers[name]
    here = drill.here
    one = Taken(check, place, here, answered(here, check, place), here.price(check), _hours(here, check))
    return replace(drill, taken=(*drill.taken, one))


def name_repair(drill: Drill, causes: tuple[str, ...]) -> Drill | Refused:
    """End it: these are to be mended. A tree that is gone on to may be named like a fault."""
    of = drill.car.case
    if drill.ended:
        return Refused("The drill has ended.")
    if not causes:
        return Refused("Name at least one fault to mend.")
    for cause in causes:
        if cause not in of.causes or of.repairs[of.causes.index(cause)] is None:
            return Refused(f"{quote(cause)} is nothing that can be mended here.")
    return replace(drill, ended=Ended(tuple(dict.fromkeys(causes))))


def looked_at_odds(drill: Drill) -> Drill:
    """The odds were asked for. It is told at the end; it costs nothing."""
    return replace(drill, looked=drill.looked + 1)


def asked_by_tree(drill: Drill) -> str | tuple[str, ...]:
    """What the tree as written does next: a check's id, or the causes whose repairs it names."""
    of = drill.car.case
    return follow_tree(of, {name: finding.answer for name, finding in drill.here.findings.items()})


def cautions(drill: Drill, name: str) -> tuple[Caution, ...]:
    """What to heed before a check is done, `stop` first: its own cautions, and those of the work that it opens.

    Those of the tree come with the first check.
    """
    of = drill.car.case
    check = of.checks.get(name)
    opened = of.names(check.behind & ~drill.here.done) if check else ()
    names = [
        *of.library.checks[name].cautions,
        *(caution for step in opened for caution in of.work.steps[step].cautions),
        *(of.tree.cautions if not drill.taken else ()),
    ]
    known = of.library.cautions
    found = [known[one] for one in dict.fromkeys(names) if one in known]
    holding = [one for one in found if one.when.admits(of.build.features)]
    return tuple(sorted(holding, key=lambda one: LEVELS.index(one.level)))


def follow_tree(of: Case, known: Mapping[str, str]) -> str | tuple[str, ...]:
    """The first check of the tree that has no answer on the way, else the causes that its outcome names.

    () where the tree has no way on from these answers.
    """
    name = of.tree.start
    while name:
        node = of.tree.nodes[name]
        if isinstance(node, Outcome):
            return node.faults
        if isinstance(node, Onward):
            return (node.tree,)
        assert isinstance(node, Question)
        check = of.checks[node.check]
        if check.id in known:
            name = node.then[known[check.id]]
        elif not check.applies or any(known.get(other) in ends for other, ends in check.never_after.items()):
            name = node.otherwise
        else:
            return check.id
    return ()


def wanted(drill: Drill) -> int:
    """The steps that the named repair takes, as a set."""
    of = drill.car.case
    found = 0
    for cause in drill.ended.named if drill.ended else ():
        found |= of.repairs[of.causes.index(cause)] or 0
    return found


def mended(drill: Drill) -> bool:
    """Whether the car's cause is gone once the named repair is done."""
    repair = drill.car.case.repairs[drill.car.cause]
    return repair is not None and not repair & ~(wanted(drill) | drill.here.done)


def repair_cost(drill: Drill) -> float:
    """What the named repair costs after what is done already; going on in a tree costs the mean of its walk."""
    work, steps = drill.here.work(), wanted(drill) & ~drill.here.done
    return sum(price for at, price in enumerate(work.prices) if steps >> at & 1)


def come_back(drill: Drill) -> float:
    """What the come-back costs; 0 where the repair mends the car."""
    return 0.0 if mended(drill) else drill.here.work().come_back[drill.car.cause]


def _hours(here: Standing, check: Asked) -> float:
    of = here.case
    opened = of.names(check.behind & ~here.done)
    own = mean_hours(of.library.checks[check.id].hours)
    return float(own + sum((mean_hours(of.work.steps[step].hours) for step in opened), exact(0)))
