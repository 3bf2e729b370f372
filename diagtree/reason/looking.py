"""One look ahead: what each check that may be done now costs, and what its answer is worth."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.case import Asked, case
from diagtree.reason.finding import Finding
from diagtree.reason.standing import Standing, answered, opened, replay
from diagtree.reason.stopping import Stop


@dataclass(frozen=True, slots=True)
class Look:
    """A check, looked at from here. Money, means over the causes (and builds) still possible."""

    check: str
    price: float  # its own hours and takes, and the access that it opens now
    worth: float  # by how much the best loss falls, once the answer is known and the access is open
    information: float  # the part of the worth that is learned, apart from access that a repair would need anyway
    answers: Mapping[str, float]  # answer -> its probability

    @property
    def net(self) -> float:
        """The worth less the price."""
        return self.worth - self.price


@dataclass(frozen=True, slots=True, eq=False)
class Possible:
    """A build that is still possible, how likely it is, and where a car of that build stands."""

    share: float  # P(build | answers)
    here: Standing


def possible(
    library: Library, tree: Tree, engine: Engine, shares: Iterable[tuple[Build, float]], findings: Iterable[Finding]
) -> tuple[Possible, ...]:
    """The builds of chance above 0, each with its standing after the findings.

    Args:
        library: where checks and faults stand.
        tree: whose causes are weighed and whose checks are looked at.
        engine: the engine.
        shares: P(build | answers), for each build.
        findings: one a check.
    """
    found = {finding.check: finding for finding in findings}
    return tuple(
        Possible(share, replay(case(library, tree, engine, build), found)) for build, share in shares if share > 0.0
    )


@dataclass(frozen=True, slots=True)
class Stops:
    """To repair now: the best scope in each build, and the mean loss over the builds."""

    by_build: tuple[Stop | None, ...]  # None: no cause of the tree has a repair in that build
    loss: float
    residual: float  # P that the car comes back


def stops(cars: tuple[Possible, ...]) -> Stops:
    """The best scope now."""
    found = tuple(car.here.stop() for car in cars)
    loss = sum(car.share * _loss(car.here, stop) / car.here.mass for car, stop in zip(cars, found, strict=True))
    left = sum(car.share * _left(car.here, stop) for car, stop in zip(cars, found, strict=True))
    return Stops(found, loss, left)


def _loss(here: Standing, stop: Stop | None) -> float:
    """The loss of stopping; where nothing can be repaired, every cause comes back."""
    if stop is not None:
        return stop.loss
    chances: list[float] = here.chances.tolist()
    return sum(chance * cost for chance, cost in zip(chances, here.work().come_back, strict=True))


def meant(here: Standing, stop: Stop) -> tuple[int, ...]:
    """Causes whose repairs make up a scope, few and likely ones first; the likeliest where no work is left to do."""
    likely = sorted(stop.mends, key=lambda at: (-here.chances[at], at))
    gone = here.done | stop.steps
    chosen: list[int] = []
    covered = here.done
    for at in likely:
        if (here.case.repairs[at] or 0) & ~covered:
            chosen.append(at)
            covered |= here.case.repairs[at] or 0
    for at in reversed(chosen.copy()):  # one that the later ones cover with theirs is not needed
        rest = here.done
        for other in chosen:
            rest |= (here.case.repairs[other] or 0) if other != at else 0
        if not gone & ~rest:
            chosen.remove(at)
    return tuple(chosen) or tuple(likely[:1])


def _left(here: Standing, stop: Stop | None) -> float:
    mended = set(stop.mends) if stop else set()
    chances: list[float] = here.chances.tolist()
    return sum(chance for at, chance in enumerate(chances) if at not in mended) / here.mass


def looks(cars: tuple[Possible, ...]) -> tuple[Look, ...]:
    """Every check that may be done now in some build, best net first; ties in file order."""
    names = dict.fromkeys(check.id for car in cars for check in car.here.open_checks())
    found = [_look(name, cars) for name in names]
    return tuple(sorted(found, key=lambda look: -look.net))


def _look(name: str, cars: tuple[Possible, ...]) -> Look:
    """One check over the builds: where it does not apply, its price and its worth are 0."""
    price = worth = information = 0.0
    answers: dict[str, float] = {}
    for car in cars:
        check = car.here.case.checks[name]
        if not check.applies:
            continue
        found = look(car.here, check)
        price += car.share * found.price
        worth += car.share * found.worth
        information += car.share * found.information
        for answer, chance in found.answers.items():
            answers[answer] = answers.get(answer, 0.0) + car.share * chance
    able = sum(answers.values())
    return Look(name, price, worth, information, {answer: chance / able for answer, chance in answers.items()})


def look(here: Standing, check: Asked) -> Look:
    """One check in one build."""
    now = _loss(here, here.stop())
    then = 0.0
    answers: dict[str, float] = {}
    for place, answer in enumerate(check.answers):
        after = answered(here, check, place)
        answers[answer] = after.mass / here.mass
        if after.mass > 0.0:
            then += _loss(after, after.stop())
    with_access = _with(here, check.behind, now) if check.behind & ~here.done else now
    worth = (now - then) / here.mass
    return Look(check.id, here.price(check), worth, worth - (now - with_access) / here.mass, answers)


def _with(here: Standing, steps: int, now: float) -> float:
    """The best loss now if the access were open already."""
    found = opened(here, steps).stop()
    return found.loss if found else now
