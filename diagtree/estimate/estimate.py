"""The estimate before teardown: what a whole visit takes in hours and money, over every way that it can go."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagtree.estimate.knowledge import Knowledge
from diagtree.estimate.law import Law, Spread
from diagtree.estimate.result import DOTS, STAGES, Deposit, End, Estimate, Stage, StageName, TooMany, count
from diagtree.estimate.summing import Summing
from diagtree.estimate.waiting import Waiting, waiting
from diagtree.estimate.ways import MOST, ways
from diagtree.graph.serving import suited
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.belief import Belief, Contradiction, belief
from diagtree.reason.finding import Finding

__all__ = [
    "DOTS",
    "STAGES",
    "Deposit",
    "End",
    "Estimate",
    "Law",
    "Spread",
    "Stage",
    "StageName",
    "TooMany",
    "Visit",
    "Waiting",
    "count",
    "estimate",
]


@dataclass(frozen=True, slots=True)
class Visit:
    """A car in the bay: what is known of it, and the tree that it will be walked through.

    Attributes:
        library: without errors.
        tree: where the visit begins.
        engine: one that the tree serves.
        builds: of the engine, those that fit what was identified, whatever the answers.
        findings: the answers so far, one a check.
        unknown: the checks whose answer cannot be had.
    """

    library: Library
    tree: Tree
    engine: Engine
    builds: tuple[Build, ...]
    findings: tuple[Finding, ...] = ()
    unknown: frozenset[str] = frozenset()


def estimate(visit: Visit, slow: float = 1.0, most: int = MOST) -> Estimate | Contradiction | TooMany:
    """What a visit takes, from the answers so far. For a walk: `diagtree.walk.estimating.estimated(session, slow)`.

    Args:
        visit: what is known.
        slow: by how much every work step's hours are stretched, above 0.
        most: states after which it is given up.
    """
    library = suited(visit.library, visit.engine)
    now = belief(library, visit.tree, visit.builds, visit.findings)
    if isinstance(now, Contradiction):
        return now
    of = Knowledge(library, visit.tree, visit.engine, visit.findings, visit.unknown)
    summing = Summing(of, now, visit.engine, slow)
    groups = [(columns, [now.builds[column] for column in columns]) for columns in _alike(of, now)]
    for columns, builds in groups:
        found = ways(of, builds, now.joint[:, columns], most)
        if isinstance(found, int):
            return TooMany(found)
        for way in found:
            summing.add(way, columns)
    return summing.estimate(
        visit.tree, slow, lambda: waiting(of, ((builds, now.joint[:, columns]) for columns, builds in groups), most)
    )


def _alike(of: Knowledge, now: Belief) -> Iterable[Sequence[int]]:
    """The builds of chance above 0, in groups to which the same checks apply: their ways are followed together."""
    groups: dict[tuple[bool, ...], list[int]] = {}
    for column, build in enumerate(now.builds):
        if now.joint[:, column].any():
            applying = tuple(of.library.checks[name].when.admits(build.features) for name in of.names)
            groups.setdefault(applying, []).append(column)
    return groups.values()
