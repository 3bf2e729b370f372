"""The knowledge of a tree as a Bayesian net: the build, the cause given the build, each check given both.

Belief is worked out without it. It is for other programs, which read it and come to the same chances.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from diagtree.model.engine import Build
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.tables import Floats, Tables, tables

# Ids of a library are lower-case words, so a name with a capital is nobody else's.
BUILD = "Build"
CAUSE = "Cause"
DOES_NOT_APPLY = "Does-not-apply"


@dataclass(frozen=True, slots=True, eq=False)
class Variable:
    """One node of a net."""

    name: str
    states: tuple[str, ...]
    parents: tuple[str, ...]
    table: Floats  # (states of each parent in order, own states), each in [0, 1], sum 1 along the last axis


def net(library: Library, tree: Tree, builds: Iterable[Build]) -> tuple[Variable, ...] | None:
    """The net of a tree for these builds, before any answer.

    Returns:
        Parents before children: `Build` and `Cause`, then the checks that the tree asks, in file order. A check that
        some build does not have says `Does-not-apply` there, for certain: to be told one of its answers rules that
        build out, as in `belief`. None where no cause has a weight in any of the builds.
    """
    known = tables(library, tree, builds, tree.checks)
    top = known.log_prior.max(initial=-np.inf)
    if top == -np.inf:
        return None
    joint = np.exp(known.log_prior - top)
    joint /= joint.sum()
    made = tuple(build.id for build in known.builds)
    of_build = joint.sum(axis=0)
    # A build of share 0 still needs a row of sum 1. It weighs nothing.
    causes = np.where(of_build > 0, joint / np.where(of_build > 0, of_build, 1.0), 1.0 / len(known.causes))
    found = [Variable(BUILD, made, (), of_build), Variable(CAUSE, known.causes, (BUILD,), causes.T)]
    return (*found, *(_check(library, name, known) for name in tree.checks))


def _check(library: Library, name: str, known: Tables) -> Variable:
    answers = tuple(answer.id for answer in library.checks[name].answers)
    rows, applies = known.rows[name], known.applies[name]
    if applies.all():
        return Variable(name, answers, (CAUSE,), rows.T)
    seen = np.where(applies[:, None, None], rows.T, 0.0)  # (builds, causes, answers)
    off = np.broadcast_to(np.where(applies, 0.0, 1.0)[:, None, None], (*seen.shape[:2], 1))
    return Variable(name, (*answers, DOES_NOT_APPLY), (BUILD, CAUSE), np.concatenate([seen, off], axis=2))
