"""The knowledge of a tree as arrays: how common each cause is, and what each check shows when it is there."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from diagtree.model.check import Check
from diagtree.model.engine import Build
from diagtree.model.fault import DEFAULT, OTHER
from diagtree.model.library import Library
from diagtree.model.tree import Tree

Floats: TypeAlias = NDArray[np.float64]
Flags: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """A tree's causes against builds and checks.

    Causes stand in the order of the tree's weights, `other` last. An onward tree's id is a cause like a fault.
    """

    causes: tuple[str, ...]
    faults: frozenset[str]  # the causes that are faults: neither an onward tree nor `other`
    builds: tuple[Build, ...]
    log_prior: Floats  # (causes, builds): log(share * weight), not normalised; -inf where the build excludes the cause
    rows: Mapping[str, Floats]  # check -> (answers, causes): P(answer | cause), columns sum to 1
    applies: Mapping[str, Flags]  # check -> (builds,)


def tables(library: Library, tree: Tree, builds: Iterable[Build], checks: Iterable[str]) -> Tables:
    """The arrays of a tree for these builds and these checks of the library."""
    made = tuple(builds)
    onward = {node.tree for node in tree.onwards}
    causes = _causes(tree)
    known = {check: library.checks[check] for check in checks}
    return Tables(
        causes=causes,
        faults=frozenset(cause for cause in causes if cause in library.faults and cause not in onward),
        builds=made,
        log_prior=_log_prior(library, tree, causes, made),
        rows={name: rows(library, check, causes) for name, check in known.items()},
        applies={
            name: np.array([check.when.admits(build.features) for build in made], dtype=np.bool_)
            for name, check in known.items()
        },
    )


def rows(library: Library, check: Check, causes: Iterable[str]) -> Floats:
    """P(answer | cause) of one check.

    Returns:
        Shape (answers, causes), each column in [0, 1] and of sum 1: (1 - slip) * row / sum(row) + slip / answers.
        A cause without any row, and one whose row is all zeros, says nothing: every answer is equally likely.
        `vet` reports both.
    """
    many = len(check.answers)
    found = tuple(_raw(library, check, causes))
    table = np.array([row or (1.0,) * many for row in found], dtype=np.float64).reshape(-1, many)
    scaled = table / table.max(axis=1, keepdims=True)  # first, so that no sum of huge weights overflows
    shares = (1 - check.slip) * (scaled / scaled.sum(axis=1, keepdims=True)) + check.slip / many
    shares[[row is None for row in found]] = 1.0 / many
    return np.asarray(shares.T, dtype=np.float64)


def weight(tree: Tree, cause: str, build: Build) -> float:
    """How often a cause is behind the complaint in a build, before normalising; 0 where no number is written for it."""
    if cause == OTHER:
        return tree.other or 0.0
    return tree.weights[cause].of(build.features) or 0.0


def _causes(tree: Tree) -> tuple[str, ...]:
    return (*tree.weights, OTHER) if tree.other else tuple(tree.weights)


def _log_prior(library: Library, tree: Tree, causes: tuple[str, ...], builds: tuple[Build, ...]) -> Floats:
    # A build that was named although its share is 0 stands in the bay all the same.
    shares = [build.share for build in builds] if any(build.share for build in builds) else [1.0] * len(builds)
    onward = {node.tree for node in tree.onwards}

    def admitted(cause: str, build: Build) -> bool:
        fault = None if cause in onward else library.faults.get(cause)
        return fault is None or fault.when.admits(build.features)

    weights = [[weight(tree, cause, build) if admitted(cause, build) else 0.0 for build in builds] for cause in causes]
    with np.errstate(divide="ignore"):  # log 0 is -inf, and meant
        logs = np.log(np.array(weights, dtype=np.float64).reshape(len(causes), len(builds)))
        return np.asarray(logs + np.log(np.array(shares, dtype=np.float64)), dtype=np.float64)


def _raw(library: Library, check: Check, causes: Iterable[str]) -> Iterable[tuple[float, ...] | None]:
    for cause in causes:
        fault = library.faults.get(cause)
        kind = fault.kind_of if fault else ""
        row = next((check.given[name] for name in (cause, kind, DEFAULT) if name in check.given), None)
        yield row if row is not None and cause != OTHER and any(row) else None
