"""One look ahead: what each check that may be done now costs, and what its answer is worth."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.ahead import after_answers, loss_of, losses_ahead
from diagtree.reason.case import Asked, kept_case
from diagtree.reason.finding import Finding
from diagtree.reason.standing import Standing, replay
from diagtree.reason.stopping import Stop
from diagtree.reason.tables import Floats


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
        Possible(share, replay(kept_case(library, tree, engine, build), found))
        for build, share in shares
        if share > 0.0
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
    loss = sum(car.share * loss_of(car.here, stop) / car.here.mass for car, stop in zip(cars, found, strict=True))
    left = sum(car.share * _left(car.here, stop) for car, stop in zip(cars, found, strict=True))
    return Stops(found, loss, left)


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
    by_car = [(car.share, {look.check: look for look in looks_from(car.here)}) for car in cars]
    names = dict.fromkeys(name for _, found in by_car for name in found)
    mixed = [_mixed(name, [(share, found[name]) for share, found in by_car if name in found]) for name in names]
    return tuple(sorted(mixed, key=lambda look: -look.net))


def _mixed(name: str, found: list[tuple[float, Look]]) -> Look:
    """One check over the builds in which it applies: in the others its price and its worth are 0."""
    answers: dict[str, float] = {}
    for share, look in found:
        for answer, chance in look.answers.items():
            answers[answer] = answers.get(answer, 0.0) + share * chance
    able = sum(answers.values())
    return Look(
        name,
        sum(share * look.price for share, look in found),
        sum(share * look.worth for share, look in found),
        sum(share * look.information for share, look in found),
        {answer: chance / able for answer, chance in answers.items()},
    )


def looks_from(here: Standing) -> tuple[Look, ...]:
    """Every check that may be done now in one build, in file order."""
    checks, joint = after_answers(here)
    return _looks(here, checks, joint)


def look(here: Standing, check: Asked) -> Look:
    """One check in one build."""
    return _looks(here, (check,), check.rows * here.chances)[0]


def _looks(here: Standing, checks: tuple[Asked, ...], joint: Floats) -> tuple[Look, ...]:
    now, after, access = losses_ahead(here, checks, joint)
    mass = here.mass
    chances: list[float] = (joint.sum(axis=1) / mass).tolist()
    lost: list[float] = after.tolist()
    found, at = [], 0
    for check, with_access in zip(checks, access.tolist(), strict=True):
        end = at + len(check.answers)
        worth = (now - sum(lost[at:end])) / mass
        seen = dict(zip(check.answers, chances[at:end], strict=True))
        found.append(Look(check.id, here.price(check), worth, worth - (now - with_access) / mass, seen))
        at = end
    return tuple(found)
