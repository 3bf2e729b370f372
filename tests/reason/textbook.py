"""A textbook problem as a tree: causes with weights, and checks with a row for each cause."""

from collections.abc import Mapping, Sequence

from diagtree.model.check import Answer, Check
from diagtree.model.engine import ONLY_BUILD
from diagtree.model.fault import Fault
from diagtree.model.library import Library
from diagtree.model.quantity import NO_HOURS, Amount
from diagtree.model.tree import Tree
from diagtree.reason.belief import Belief, Contradiction, belief
from diagtree.reason.finding import Finding, plain

Rows = Mapping[str, Sequence[float]]


def check(name: str, rows: Rows, slip: float = 0.0) -> Check:
    """A check with as many answers as its rows are long; with two, the first is `yes`."""
    many = len(next(iter(rows.values())))
    ids = ("yes", "no") if many == 2 else tuple(f"answer-{place}" for place in range(many))
    answers = tuple(Answer(one, one) for one in ids)
    return Check(name, name, answers, NO_HOURS, given={cause: tuple(row) for cause, row in rows.items()}, slip=slip)


def library(causes: Sequence[str], checks: Sequence[Check]) -> Library:
    """These causes as faults without work, and these checks."""
    return Library(
        checks={one.id: one for one in checks},
        faults={cause: Fault(cause, cause, "", (), ()) for cause in causes},
    )


def tree(weights: Mapping[str, float], other: float | None = None) -> Tree:
    """A tree that is its weights and nothing else."""
    return Tree("t", "t", {cause: Amount(weight) for cause, weight in weights.items()}, "", {}, other=other)


def weigh(
    weights: Mapping[str, float], checks: Sequence[Check], replies: Mapping[str, str | Sequence[float]]
) -> Belief | Contradiction:
    """The belief after replies: an answer's id, or shares over the answers, for each check replied to."""
    known = {one.id: one for one in checks}
    found = [
        plain(known[name], reply) if isinstance(reply, str) else Finding(name, known[name].answers[0].id, tuple(reply))
        for name, reply in replies.items()
    ]
    return belief(library(tuple(weights), checks), tree(weights), (ONLY_BUILD,), found)


def chances(
    weights: Mapping[str, float], checks: Sequence[Check], replies: Mapping[str, str | Sequence[float]]
) -> dict[str, float]:
    """P(cause | replies)."""
    found = weigh(weights, checks, replies)
    assert isinstance(found, Belief)
    return found.by_fault
