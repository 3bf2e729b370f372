"""What serves what in a library, asked by many rules and therefore worked out once."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import NamedTuple

from diagtree.graph.labour import Labour
from diagtree.graph.serving import builds, checks_of, engines, faults_of, served
from diagtree.model.check import Check
from diagtree.model.engine import ONLY_BUILD, Build, Engine
from diagtree.model.library import Kind, Library
from diagtree.model.quantity import Condition
from diagtree.model.tree import Tree, targets

Made = tuple[Engine, Build]
Applying = tuple[Check, Engine, tuple[Build, ...]]


class Lack(NamedTuple):
    """A work step that a tree needs and an engine has not."""

    step: str
    owner: str  # "check 'x'" or "fault 'y'"


class _Remembered:
    """What many rules ask about one library. They ask about the same one in turn, so that the last is enough."""

    __slots__ = ("checks", "engines", "library")

    def __init__(self, library: Library) -> None:
        self.library = library
        self.engines: dict[str, tuple[Engine, ...]] = {}
        self.checks: tuple[Applying, ...] | None = None


_remembered = _Remembered(Library())


def _of(library: Library) -> _Remembered:
    global _remembered  # noqa: PLW0603 -- a frozen library cannot carry it; the answers depend on nothing else
    if _remembered.library is not library:
        _remembered = _Remembered(library)
    return _remembered


def served_engines(library: Library, tree: Tree) -> tuple[Engine, ...]:
    """The engines that a tree serves, or would serve once steps that no engine has are put right."""
    known = _of(library).engines
    if tree.id not in known:
        known[tree.id] = served(library, tree) if tree.engines is not None else _able(library, tree)
    return known[tree.id]


def _able(library: Library, tree: Tree) -> tuple[Engine, ...]:
    trees = with_onward(library, tree)
    return tuple(engine for engine in engines(library) if not any(lacks(library, one, engine) for one in trees))


def sound_builds(engine: Engine) -> tuple[Build, ...]:
    """The builds whose values are all known. What would follow from a misspelt one is not reported a second time."""
    return tuple(
        build
        for build in builds(engine)
        if all(
            name in engine.features and value in engine.features[name].values for name, value in build.features.items()
        )
    )


def understood(condition: Condition, known: Mapping[str, tuple[str, ...]]) -> bool:
    """Whether every feature and value that a condition names is known."""
    return all(value in known.get(name, ()) for name, values in condition.terms for value in values)


def served_builds(library: Library, tree: Tree) -> Iterator[Made]:
    """The builds of the engines that a tree serves."""
    return ((engine, build) for engine in served_engines(library, tree) for build in sound_builds(engine))


def with_onward(library: Library, tree: Tree) -> tuple[Tree, ...]:
    """A tree and all that it goes on in, each once, itself first."""
    found = {tree.id: tree}
    waiting = [tree]
    while waiting:
        for node in waiting.pop().onwards:
            if node.tree in library.trees and node.tree not in found:
                found[node.tree] = library.trees[node.tree]
                waiting.append(found[node.tree])
    return tuple(found.values())


def lacks(library: Library, tree: Tree, engine: Engine) -> tuple[Lack, ...]:
    """The steps that a tree needs (not those it goes on in), that some engine has and this one has not."""
    made = engines(library)
    return tuple(
        lack
        for lack in dict.fromkeys(_needs(library, tree, engine))
        if not has_step(library, engine, lack.step) and any(has_step(library, each, lack.step) for each in made)
    )


def _needs(library: Library, tree: Tree, engine: Engine) -> Iterator[Lack]:
    made = builds(engine)
    for check in checks_of(library, tree):
        if any(check.when.admits(build.features) for build in made):
            yield from (Lack(step, f"check '{check.id}'") for step in check.behind)
    for fault in faults_of(library, tree):
        if any(fault.when.admits(build.features) for build in made):
            yield from (Lack(step, f"fault '{fault.id}'") for step in fault.repair)


def served_checks(library: Library) -> tuple[Applying, ...]:
    """Each check that a tree asks, with each engine that such a tree serves, and the builds in which it applies."""
    known = _of(library)
    if known.checks is None:
        pairs = {
            (check.id, engine.id): (check, engine)
            for tree in library.trees.values()
            for engine in served_engines(library, tree)
            for check in checks_of(library, tree)
        }
        made = {engine.id: sound_builds(engine) for engine in engines(library)}
        known.checks = tuple(
            (check, engine, tuple(build for build in made[engine.id] if check.when.admits(build.features)))
            for check, engine in pairs.values()
        )
    return known.checks


def exists(library: Library, kind: Kind, name: str) -> bool:
    """Whether an id stands in the library, even where its entry could not be read: that is reported already."""
    return name in _entries(library, kind) or (kind, name) in library.unread


def absent(library: Library, kind: Kind, names: Iterable[str]) -> Iterator[str]:
    """Those of the names that no entry of the library has."""
    return (name for name in names if not exists(library, kind, name))


def _entries(library: Library, kind: Kind) -> Collection[str]:
    if kind == "shop":
        return (library.shop.id,) if library.shop else ()
    if kind == "engine":
        return library.engines
    if kind == "tree":
        return library.trees
    found: Collection[str] = getattr(library, kind)
    return found


def stands(library: Library, kind: Kind, entry: str, *path: str | int) -> bool:
    """Whether something is written at a place inside an entry, though it may not have been readable."""
    return library.key(kind, entry, *path) != library.key(kind, entry, *path[:-1])


def unsure(library: Library, tree: Tree) -> bool:
    """Whether a node could not be read wholly, which is reported already: where it leads or ends is not known."""
    named = {tree.start, *(end for node in tree.questions for end in targets(node))}
    return any(not node.then for node in tree.questions) or any(
        name not in tree.nodes and stands(library, "tree", tree.id, "nodes", name) for name in named
    )


def has_step(library: Library, engine: Engine, step: str) -> bool:
    """Whether a step is written in an engine's work."""
    return step in engine.work or stands(library, "engine", engine.id, "work", step)


def has_part(library: Library, engine: Engine, part: str) -> bool:
    """Whether a part is written in an engine."""
    return part in engine.parts or stands(library, "engine", engine.id, "parts", part)


def whole_labour(engine: Engine) -> Labour:
    """All work of an engine, whatever the build: for what is asked of a step as it is written."""
    pulls = {
        name: tuple(other for other in dict.fromkeys((*step.after, *step.brings)) if other in engine.work)
        for name, step in engine.work.items()
    }
    return Labour(engine, ONLY_BUILD, engine.work, pulls)
