"""Closed jobs, counted: what they showed, and what was found."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from diagtree.graph.serving import builds, served
from diagtree.model.engine import Build
from diagtree.model.fault import DEFAULT, OTHER
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.tables import tables


@dataclass(frozen=True, slots=True)
class Alike:
    """Closed jobs that are alike in everything that is learned from, and how many they are."""

    tree: str
    engine: str
    builds: tuple[str, ...]  # which it may have been
    answers: tuple[tuple[str, str], ...]  # (check, answer), each check once
    faults: tuple[str, ...]  # one of these was found; () where nobody wrote it down
    many: int
    revision: str = ""  # of the tree, as the job was walked


@dataclass(frozen=True, slots=True)
class Shown:
    """How many jobs of known fault had an answer: all that a table needs of them, counted where they lie."""

    tree: str
    fault: str
    check: str
    answer: str
    many: int
    build: str = ""  # where it is known
    revision: str = ""  # of the tree


@dataclass(frozen=True, slots=True)
class Unfit:
    """Jobs that nothing is learned from, by reason."""

    reasons: Mapping[str, int]

    @property
    def many(self) -> int:
        """How many they are."""
        return sum(self.reasons.values())


def fitting(library: Library, cases: Iterable[Alike]) -> tuple[tuple[Alike, ...], Unfit]:
    """The cases that fit the library as it is now, and how many do not, by reason."""
    kept, reasons = [], dict[str, int]()
    possible = cache(lambda tree: _possible(library, library.trees[tree]))
    for one in cases:
        reason = _unfit(library, one) or _impossible(library, one, possible)
        if reason:
            reasons[reason] = reasons.get(reason, 0) + one.many
        else:
            kept.append(one)
    return tuple(kept), Unfit(reasons)


def _unfit(library: Library, one: Alike) -> str:
    tree = library.trees.get(one.tree)
    if tree is None:
        return f"the tree '{one.tree}' is not in the library"
    engine = next((found for found in served(library, tree) if found.id == one.engine), None)
    if engine is None:
        return f"the tree '{one.tree}' does not serve '{one.engine}'"
    known = {build.id for build in builds(engine)}
    if not one.builds or not known.issuperset(one.builds):
        return "a build is not in the library"
    for check, answer in one.answers:
        if check not in library.checks or library.checks[check].answer(answer) is None:
            return f"'{check}' has no answer '{answer}' any more"
    if one.faults and not any(cause_of(library, tree, fault) for fault in one.faults):
        return "what was found is no fault of the library"
    return ""


def _impossible(library: Library, one: Alike, possible: Callable[[str], frozenset[tuple[str, str, str]]]) -> str:
    known = {cause_of(library, library.trees[one.tree], fault) for fault in one.faults}
    for cause, engine, build in possible(one.tree):
        if engine == one.engine and build in one.builds and (cause in known or not known):
            return ""
    return "by the tree's weights no build that the job names can have what was found"


def _possible(library: Library, tree: Tree) -> frozenset[tuple[str, str, str]]:
    """(cause, engine, build) of every car that the weights and shares allow."""
    made = places(library, tree)
    known = tables(library, tree, [build for _, build in made], ())
    return frozenset(
        (cause, engine, build.id)
        for at, cause in enumerate(known.causes)
        for column, (engine, build) in enumerate(made)
        if known.log_prior[at, column] > -np.inf
    )


def cause_of(library: Library, tree: Tree, fault: str) -> str:
    """The cause of a tree that a found fault stands for.

    Itself, else the tree gone on to that has it, else `other`; '' where the library does not know the fault.
    """
    if fault in tree.weights or (fault == OTHER and tree.other):
        return fault
    for node in tree.onwards:
        there = library.trees.get(node.tree)
        if there and cause_of(library, there, fault) not in {"", OTHER}:
            return node.tree
    return OTHER if tree.other and fault in {*library.faults, OTHER} else ""


def row_key(library: Library, check: str, cause: str) -> str | None:
    """Under which key of the check's `given` the row of a cause stands; None where it has none."""
    if cause == OTHER:
        return None
    fault = library.faults.get(cause)
    given = library.checks[check].given
    return next((key for key in (cause, fault.kind_of if fault else "", DEFAULT) if key in given), None)


def shown_in(cases: Iterable[Alike]) -> Iterator[Shown]:
    """The answers of the cases whose fault is known."""
    for one in cases:
        if len(one.faults) == 1:
            build = one.builds[0] if len(one.builds) == 1 else ""
            for check, answer in one.answers:
                yield Shown(one.tree, one.faults[0], check, answer, one.many, build, one.revision)


def row_keys(library: Library, tree: Tree, check: str, fault: str) -> frozenset[str]:
    """The keys of the rows that a job of known fault adds to: the cause's, and the fault's own after `continue`."""
    found = {row_key(library, check, name) for name in (cause_of(library, tree, fault), fault)}
    return frozenset(key for key in found if key is not None)


def places(library: Library, tree: Tree) -> tuple[tuple[str, Build], ...]:
    """(engine, build) of every car that can come in with a complaint."""
    return tuple((engine.id, build) for engine in served(library, tree) for build in builds(engine))
