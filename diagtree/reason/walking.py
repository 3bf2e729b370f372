"""What walking a tree as it is written costs on average: its checks, the access shared, the loss of each outcome.

A written tree asks the same whatever the belief, so its cost is a sum over causes: so much where this one is present.
Those sums are worked out node by node, once for each state of access. Only where a tree goes on in another does the
belief itself count, as that tree is weighed by its own: there each path is followed.
"""

from collections.abc import Callable

import numpy as np

from diagtree.model.tree import Onward, Outcome, Question
from diagtree.reason.ahead import loss_of, stop_losses
from diagtree.reason.case import Case
from diagtree.reason.standing import Standing, answered
from diagtree.reason.stopping import Work, best_stop
from diagtree.reason.tables import Floats

# What a path costs where it ends, times P(answers): the node at which it does, or None where there is no way on.
End = Callable[[Standing, Outcome | Onward | None], float]
# Share of all cars below which a path is walked on as written where the best scopes are reckoned: in a tree with many
# joins there would be too many paths. What is left then is still an order of checks.
RARE = 1e-5


def walk_cost(here: Standing) -> float:
    """The cost of walking the tree from its start, times P(answers so far), in money.

    Each path weighs as often as it happens. A check that does not apply, or was answered before, costs nothing.
    An answer of chance 0 adds nothing. `vet` refuses a tree whose own paths need an `else` that is not there.
    """
    if here.case.onward:
        return _follow(here, here.case.tree.start, _as_written)
    return float(here.chances @ costs_by_cause(here.case, here.case.tree.start, here.done, _answers(here)))


def walk_and_asked_cost(here: Standing, rare: float = RARE) -> tuple[float, float]:
    """The walk's cost, and that of asking as the tree does with each path ending in the best scope there.

    Both times P(answers so far), in money. The second is an order of checks, so never below the best one; it is never
    above the walk. Its best scope may be to go on in another tree wherever a path ends, at the price of that tree's
    walk.

    Args:
        here: where to begin.
        rare: share of all cars below which a path goes on as written, in a tree that goes on in no other.
    """
    ends = _Ends()
    walk = _follow(here, here.case.tree.start, ends.take, 0.0 if here.case.onward else rare * here.mass)
    return walk, walk - ends.spared()


def onward_cost(here: Standing, tree: str, done: int) -> float:
    """What going on in a tree costs: the mean cost of its walk, by its own belief after all answers so far.

    0 where the answers leave nothing of it: then nobody goes on there.
    """
    chances = here.beyond[tree]
    mass = float(chances.sum())
    if not mass > 0.0:
        return 0.0
    there = here.case.beyond[tree]
    # Only the trees that it may go on in itself: of the others it knows no causes.
    further = {name: here.beyond[name] for name in there.beyond}
    return walk_cost(Standing(there, chances, done, here.findings, further)) / mass


def _answers(here: Standing) -> dict[str, str]:
    return {name: finding.answer for name, finding in here.findings.items()}


def costs_by_cause(of: Case, node: str, done: int, known: dict[str, str]) -> Floats:
    """The mean cost of walking on from a node, where each cause is present.

    Args:
        of: a case that goes on in no other tree.
        node: where to walk on from.
        done: closed set of the steps done already.
        known: check -> answer, of those answered before.

    Returns:
        Shape (causes,), money.
    """
    memo = of.walked
    key = (node, done, tuple(sorted((name, known[name]) for name in of.below[node] if name in known)))
    found = memo.get(key)
    if found is None:
        found = memo[key] = _costs(of, node, done, known)
    return found


def _costs(of: Case, node: str, done: int, known: dict[str, str]) -> Floats:
    found = of.tree.nodes[node]
    if not isinstance(found, Question):
        assert isinstance(found, Outcome), "a tree that goes on is followed path by path"
        return _end(of, found, done)
    if found.check in known:
        return costs_by_cause(of, found.then[known[found.check]], done, known)
    check = of.checks[found.check]
    forbidden = any(known.get(name) in answers for name, answers in check.never_after.items())
    if not check.applies or forbidden:
        return costs_by_cause(of, found.otherwise, done, known) if found.otherwise else np.array(of.come_back)
    total = np.full(len(of.causes), check.price + of.cost(check.behind & ~done))
    for place, answer in enumerate(check.answers):
        row = check.rows[place]
        if row.any():
            further = {**known, check.id: answer}
            total = total + row * costs_by_cause(of, found.then[answer], done | check.behind, further)
    return total


def _end(of: Case, node: Outcome, done: int) -> Floats:
    wanted = _wanted(of, node)
    left = np.array(
        [
            cost if repair is None or repair & ~(wanted | done) else 0.0
            for cost, repair in zip(of.come_back, of.repairs, strict=True)
        ]
    )
    return left + of.cost(wanted & ~done)


def _wanted(of: Case, node: Outcome) -> int:
    """The closed set of an outcome's repairs; a fault that the build can't have asks for none."""
    wanted = 0
    for fault in node.faults:
        wanted |= of.repairs[of.causes.index(fault)] or 0
    return wanted


def _follow(here: Standing, node: str, end: End, least: float = 0.0) -> float:
    """What walking on from a node costs, path by path; below a least mass as written, without a look at the ends."""
    mass = here.mass
    if not mass > 0.0:
        return 0.0
    of = here.case
    if mass < least:
        return float(here.chances @ costs_by_cause(of, node, here.done, _answers(here)))
    found = of.tree.nodes[node]
    if not isinstance(found, Question):
        return end(here, found)
    known = here.findings.get(found.check)
    if known is not None:
        return _follow(here, found.then[known.answer], end, least)
    check = of.checks[found.check]
    if not check.applies or here.forbidden(check):
        return _follow(here, found.otherwise, end, least) if found.otherwise else end(here, None)
    total = mass * here.price(check)
    for place, answer in enumerate(check.answers):
        total += _follow(answered(here, check, place), found.then[answer], end, least)
    return total


def _as_written(here: Standing, node: Outcome | Onward | None) -> float:
    """Where there is no way on nothing is mended. Met only in a tree weighed under answers that never lead into it."""
    return _written(here, here.work(), node)


class _Ends:
    """What the ends of paths cost as written, and what the best scopes there would spare."""

    def __init__(self) -> None:
        self._spared = 0.0
        self._waiting: dict[int, list[tuple[Standing, float]]] = {}  # by the steps done

    def take(self, here: Standing, node: Outcome | Onward | None) -> float:
        """The cost of a path's end as written; it is noted for `spared`."""
        work = here.work()
        written = _written(here, work, node)
        if here.case.onward:
            self._spare(written, loss_of(here, best_stop(work, here.chances.tolist(), here.done)))
        else:
            self._waiting.setdefault(here.done, []).append((here, written))
        return written

    def spared(self) -> float:
        """Over all ends noted."""
        for done, ends in self._waiting.items():
            losses = stop_losses(ends[0][0], np.array([here.chances for here, _ in ends]), done)
            for (_, written), loss in zip(ends, losses.tolist(), strict=True):
                self._spare(written, loss)
        self._waiting = {}
        return self._spared

    def _spare(self, written: float, loss: float) -> None:
        # An outcome whose faults the build can't have repairs nothing. That is no scope, and may be cheaper for it.
        self._spared += max(0.0, written - loss)


def _written(here: Standing, work: Work, node: Outcome | Onward | None) -> float:
    of = here.case
    if node is None:
        return float(here.chances @ np.array(work.come_back))
    wanted = of.onward[node.tree] if isinstance(node, Onward) else _wanted(of, node)
    chances: list[float] = here.chances.tolist()
    lost = sum(
        chance * cost
        for chance, cost, repair in zip(chances, work.come_back, work.repairs, strict=True)
        if repair is None or repair & ~(wanted | here.done)
    )
    paid = sum(price for at, price in enumerate(work.prices) if wanted & ~here.done & 1 << at)
    return here.mass * paid + lost
