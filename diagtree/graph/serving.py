"""Which engines and builds a tree serves, and what applies where."""

from collections.abc import Iterator
from dataclasses import replace

from diagtree.model.check import Check
from diagtree.model.engine import ONLY_BUILD, ONLY_ENGINE, Build, Engine
from diagtree.model.fault import Fault
from diagtree.model.library import Library
from diagtree.model.quantity import Features
from diagtree.model.tree import Tree


def builds(engine: Engine) -> tuple[Build, ...]:
    """The builds of an engine, at least one."""
    return tuple(engine.builds.values()) or (ONLY_BUILD,)


def engines(library: Library) -> tuple[Engine, ...]:
    """The engines of a library, at least one."""
    return tuple(library.engines.values()) or (ONLY_ENGINE,)


def matching_builds(engine: Engine, known: Features) -> tuple[Build, ...]:
    """The builds that have every known feature's value."""
    return tuple(
        build for build in builds(engine) if all(build.features.get(name) == value for name, value in known.items())
    )


def checks_of(library: Library, tree: Tree) -> tuple[Check, ...]:
    """The checks that a tree asks and the library has, each once."""
    return tuple(library.checks[name] for name in tree.checks if name in library.checks)


def suited(library: Library, engine: Engine) -> Library:
    """The library as it holds for an engine: one bank cannot be off alone where there is but one.

    A check of offsets then has no answer `one-bank`, and its rows are shared out over the others. The library itself
    where nothing differs.
    """
    if engine.timing is None or len({cam.bank for cam in engine.timing.cams.values()}) > 1:
        return library
    fewer = {
        name: _without(check, "one-bank")
        for name, check in library.checks.items()
        if check.kind == "offsets" and len(check.answers) > 1 and check.answer("one-bank")
    }
    return replace(library, checks={**library.checks, **fewer}) if fewer else library


def _without(check: Check, gone: str) -> Check:
    kept = [at for at, answer in enumerate(check.answers) if answer.id != gone]
    given = {name: tuple(row[at] for at in kept) for name, row in check.given.items()}
    return replace(check, answers=tuple(check.answers[at] for at in kept), given=given)


def faults_of(library: Library, tree: Tree) -> tuple[Fault, ...]:
    """The faults among a tree's weights, in file order. Trees that it goes on in are left out."""
    onward = {node.tree for node in tree.onwards}
    return tuple(library.faults[name] for name in tree.weights if name not in onward and name in library.faults)


def needed_steps(library: Library, tree: Tree, engine: Engine) -> Iterator[str]:
    """The work steps that a tree needs an engine to have, for the builds that it makes."""
    made = builds(engine)
    for check in checks_of(library, tree):
        if any(check.when.admits(build.features) for build in made):
            yield from check.behind
    for fault in faults_of(library, tree):
        if any(fault.when.admits(build.features) for build in made):
            yield from fault.repair


def serves(library: Library, tree: Tree, engine: Engine) -> bool:
    """Whether a tree can be walked for an engine: named, or, where none is named, able."""
    if tree.engines is not None:
        return engine.id in tree.engines
    return _able(library, tree, engine, frozenset())


def _able(library: Library, tree: Tree, engine: Engine, above: frozenset[str]) -> bool:
    if any(step not in engine.work for step in needed_steps(library, tree, engine)):
        return False
    # `above` stops a ring of trees: the ring itself is reported by its own rule.
    further = {node.tree for node in tree.onwards} - above - {tree.id}
    return all(
        _able(library, library.trees[name], engine, above | {tree.id}) for name in further if name in library.trees
    )


def served(library: Library, tree: Tree) -> tuple[Engine, ...]:
    """The engines that a tree serves, in file order; the stand-in where the library has none."""
    return tuple(engine for engine in engines(library) if serves(library, tree, engine))
