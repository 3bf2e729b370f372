"""Which answers end elsewhere after an edit, for every tree, engine and build that two libraries share."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from diagtree.estimate.meanings import Replies, replies, steady_checks
from diagtree.estimate.passage import (
    MOST_STATES,
    Ended,
    Facts,
    Ground,
    Search,
    Shapes,
    Side,
    Stuck,
    ground,
    replay,
    search,
)
from diagtree.graph.serving import builds, engines, serves
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library

When: TypeAlias = Literal["before", "after"]


@dataclass(frozen=True, slots=True)
class Where:
    """A tree, an engine, and those of its builds for which the same is true."""

    tree: str
    engine: str
    builds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """The same answers end elsewhere. Faults sorted; answers in the order asked, as `--answer` takes them."""

    where: Where
    before: tuple[str, ...]
    after: tuple[str, ...]
    answers: Facts


@dataclass(frozen=True, slots=True)
class Refused:
    """Cannot tell a check: one library (`when`) has no way on with these answers, the other comes to an outcome."""

    where: Where
    when: When
    check: str
    answers: Facts


@dataclass(frozen=True, slots=True)
class Reached:
    """An outcome that only one library (`when`) can come to."""

    where: Where
    when: When
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """A search that met too many states: more may have moved than was found."""

    where: Where
    states: int


Finding: TypeAlias = Moved | Refused | Reached | Cut


@dataclass(frozen=True, slots=True)
class Pair:
    """One thing, as each library has it."""

    old: Library
    new: Library

    def __iter__(self) -> Iterator[Library]:
        """The old library, then the new one."""
        return iter((self.old, self.new))


@dataclass(frozen=True, slots=True)
class _Course:
    """A tree on one engine in both libraries."""

    tree: str
    engines: tuple[Engine, Engine]
    grounds: tuple[Ground, Ground]
    shapes: tuple[Mapping[tuple[str, str], int], Mapping[tuple[str, str], int]]
    meanings: Mapping[str, Replies]


def shared_engines(pair: Pair) -> Iterator[tuple[Engine, Engine]]:
    """The engines that both have, the old one first; the stand-in where neither has any."""
    after = {engine.id: engine for engine in engines(pair.new)}
    return ((engine, after[engine.id]) for engine in engines(pair.old) if engine.id in after)


def shared_builds(made: tuple[Engine, Engine]) -> Iterator[tuple[Build, Build]]:
    """The builds that both have of an engine, the old one first."""
    after = {build.id: build for build in builds(made[1])}
    return ((build, after[build.id]) for build in builds(made[0]) if build.id in after)


def moves(pair: Pair, most: int = MOST_STATES) -> Iterator[Finding]:
    """Everything that ends elsewhere, tree by tree; each search is cut after `most` states, and says so.

    Both libraries must be free of errors.
    """
    for name, tree in pair.old.trees.items():
        if name not in pair.new.trees:
            continue
        grounds = (ground(pair.old, tree), ground(pair.new, pair.new.trees[name]))
        numbers = Shapes()
        shapes = (numbers.of(grounds[0]), numbers.of(grounds[1]))
        for made in shared_engines(pair):
            if all(serves(library, library.trees[name], engine) for library, engine in zip(pair, made, strict=True)):
                yield from _on_engine(_Course(name, made, grounds, shapes, _meanings(pair, grounds, made)), most)


def _meanings(libraries: Iterable[Library], grounds: Iterable[Ground], made: tuple[Engine, ...]) -> dict[str, Replies]:
    asked = sorted(frozenset[str]().union(*(on.matters[on.start] for on in grounds)))
    both = tuple(libraries)
    return {check: replies([library.checks.get(check) for library in both], made) for check in asked}


def _on_engine(course: _Course, most: int) -> Iterator[Finding]:
    """The findings of all builds. Those to which the same checks apply are searched once."""
    alike: dict[tuple[frozenset[str], ...], list[str]] = {}
    for made in shared_builds(course.engines):
        applying = tuple(_applying(on, build) for on, build in zip(course.grounds, made, strict=True))
        alike.setdefault(applying, []).append(made[0].id)
    kept: list[tuple[Finding, Where]] = []
    for applying, names in alike.items():
        sides = tuple(
            Side(on, found, shapes) for on, found, shapes in zip(course.grounds, applying, course.shapes, strict=True)
        )
        where = Where(course.tree, course.engines[0].id, tuple(names))
        for finding in _in_builds(course, sides, where, most):
            _merge(kept, finding, sides)
    order = {build.id: place for place, build in enumerate(builds(course.engines[0]))}
    for finding, where in kept:
        names = sorted(where.builds, key=order.__getitem__)
        yield replace(finding, where=replace(where, builds=tuple(names)))


def _applying(on: Ground, build: Build) -> frozenset[str]:
    return frozenset(check for check in on.matters[on.start] if on.library.checks[check].when.admits(build.features))


def _in_builds(course: _Course, sides: tuple[Side, ...], where: Where, most: int) -> Iterator[Finding]:
    same = steady_checks(course.meanings) - (sides[0].applying ^ sides[1].applying)
    joint = search(sides, course.meanings, most=most, same=same)
    cut = joint.states if not joint.whole else 0
    refused: set[tuple[When, str]] = set()
    for (before, after), facts in joint.met.items():
        match before, after:
            case Ended(), Ended() if before != after:
                yield Moved(where, before.faults, after.faults, facts)
            case Stuck(check), Ended() if ("before", check) not in refused:
                refused.add(("before", check))
                yield Refused(where, "before", check, facts)
            case Ended(), Stuck(check) if ("after", check) not in refused:
                refused.add(("after", check))
                yield Refused(where, "after", check, facts)
    if joint.states:
        alone = [search([side], _alone(course, place), most=most) for place, side in enumerate(sides)]
        yield from _reached(where, alone)
        cut = max(cut, *(found.states for found in alone if not found.whole), 0)
    if cut or not joint.whole:
        yield Cut(where, cut)


def _alone(course: _Course, place: int) -> dict[str, Replies]:
    on = course.grounds[place]
    return _meanings((on.library,), (on,), (course.engines[place],))


def _reached(where: Where, alone: list[Search]) -> Iterator[Reached]:
    before, after = ({at.faults for (at,) in found.met if isinstance(at, Ended)} for found in alone)
    # What a search that was cut did not meet, it may yet come to.
    if alone[1].whole:
        yield from (Reached(where, "before", faults) for faults in sorted(before - after))
    if alone[0].whole:
        yield from (Reached(where, "after", faults) for faults in sorted(after - before))


def _merge(kept: list[tuple[Finding, Where]], finding: Finding, sides: tuple[Side, ...]) -> None:
    """Add a finding, or its builds to one that says the same and holds there too."""
    for place, (other, where) in enumerate(kept):
        if _says_the_same(other, finding) and _holds(other, finding, sides):
            kept[place] = (other, replace(where, builds=(*where.builds, *finding.where.builds)))
            return
    kept.append((finding, finding.where))


def _says_the_same(one: Finding, other: Finding) -> bool:
    return type(one) is type(other) and _gist(one) == _gist(other)


def _gist(finding: Finding) -> tuple[object, ...]:
    match finding:
        case Moved():
            return finding.before, finding.after
        case Refused():
            return finding.when, finding.check
        case Reached():
            return finding.when, finding.faults
        case Cut():
            return ()


def _holds(known: Finding, found: Finding, sides: tuple[Side, ...]) -> bool:
    """Whether the answers that are known serve for the builds of what was found as well, and are no longer."""
    if not isinstance(known, Moved | Refused) or not isinstance(found, Moved | Refused):
        return True
    if len(known.answers) > len(found.answers):
        return False
    at = replay(sides, known.answers)
    if at is None:
        return False
    match known:
        case Moved():
            return at == (Ended(known.before), Ended(known.after))
        case Refused():
            place = 0 if known.when == "before" else 1
            return at[place] == Stuck(known.check) and isinstance(at[1 - place], Ended)
