"""A walk in progress: an immutable value, made anew from all replies at each step.

Replaying is what lets an answer be taken back, corrected or given out of order without any state to undo.
"""

from dataclasses import dataclass, replace

from diagtree.graph.serving import suited
from diagtree.model.check import Check
from diagtree.model.tree import Outcome, Question, Tree
from diagtree.walk.answers import Refused, too_close
from diagtree.walk.replies import Case, Known, Reply, Turned, gather
from diagtree.walk.route import Route, Stop, follow


@dataclass(frozen=True, slots=True)
class Session:
    """A walk: what was told, and where that leads."""

    case: Case
    preset: tuple[Reply, ...]  # given before the walk began; `back` leaves them alone
    replies: tuple[Reply, ...]  # given in it, in order
    known: Known
    route: Route
    acknowledged: frozenset[tuple[str, str]] = frozenset()  # (place, caution): `stop` cautions that were taken

    @property
    def tree(self) -> Tree:
        """The tree in which the walk stands."""
        return self.route.here.tree

    @property
    def here(self) -> Stop:
        """The node at which the walk stands, and why it stands there."""
        return self.route.here

    @property
    def check(self) -> Check | None:
        """The check that is asked now; None at an outcome, and where there is no way on."""
        node = self.here.node
        if self.here.passing != "asked" or not isinstance(node, Question):
            return None
        return self.case.library.checks[node.check]

    @property
    def outcome(self) -> Outcome | None:
        """The outcome that was reached."""
        return self.here.node if isinstance(self.here.node, Outcome) else None

    @property
    def opened(self) -> dict[str, tuple[str, ...]]:
        """What checks opened: check -> the work steps that it lies behind, for those that have any."""
        checks = self.case.library.checks
        return {name: checks[name].behind for name in self.known.findings if checks[name].behind}

    @property
    def close_calls(self) -> tuple[str, ...]:
        """The checks whose reading or pattern is too close to call."""
        return tuple(name for name, finding in self.known.findings.items() if too_close(finding))


def begin(case: Case) -> Session | Refused:
    """Start a walk, the library being that of its engine; refused where the tree has no node to start at."""
    case = replace(case, library=suited(case.library, case.engine))
    tree = case.tree
    if tree.start not in tree.nodes:
        return Refused(f"The tree '{tree.id}' has no node '{tree.start}' to start at. Run vet to see where it stands.")
    return replayed(case, (), ())


def acknowledge(session: Session, cautions: frozenset[tuple[str, str]]) -> Session:
    """The walk with these (place, caution) pairs taken."""
    return replace(session, acknowledged=session.acknowledged | cautions)


def replayed(
    case: Case,
    preset: tuple[Reply, ...],
    replies: tuple[Reply, ...],
    acknowledged: frozenset[tuple[str, str]] = frozenset(),
) -> Session:
    """The walk that these replies come to."""
    known = gather(case, (*preset, *replies))
    return Session(case, preset, replies, known, _route(case, preset, replies, known), acknowledged)


def _route(case: Case, preset: tuple[Reply, ...], replies: tuple[Reply, ...], known: Known) -> Route:
    """The way through the walk's tree, and through those that somebody turned to.

    A tree that was left is followed by what was known then: what was learned since would lead on in it.
    """
    tree = case.tree
    stops: tuple[Stop, ...] = ()
    for place, reply in enumerate(replies):
        if isinstance(reply, Turned):
            left = follow(case.library, tree, gather(case, (*preset, *replies[:place]))).stops
            stops += (*left[:-1], replace(left[-1], passing="turned"))
            tree = case.library.trees[reply.tree]
    return Route((*stops, *follow(case.library, tree, known).stops))


def passed(before: Session | None, after: Session) -> tuple[Stop, ...]:
    """The nodes that the walk went through by itself since `before` (None: since its start), in order.

    The question that stood before is not among them: it was answered.
    """
    old = before.route.stops if before else ()
    new = after.route.stops
    same = 0
    while same < min(len(old), len(new)) and old[same] == new[same]:
        same += 1
    asked = {(stop.tree.id, stop.node.id) for stop in old[-1:]}
    return tuple(stop for stop in new[same:-1] if (stop.tree.id, stop.node.id) not in asked)
