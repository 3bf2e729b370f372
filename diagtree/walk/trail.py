"""The path of a walk through one tree, as it is inked on a drawing."""

from diagtree.graph.trees import ELSE
from diagtree.model.tree import Question
from diagtree.walk.route import Stop
from diagtree.walk.session import Session


def trail(session: Session, tree: str) -> tuple[tuple[str, str], ...]:
    """Node and answer of each stop in a tree, in order.

    The answer is its id; `else` where it could not be had, did not apply or was forbidden; empty where the walk stands.
    """
    return tuple((stop.node.id, _key(session, stop)) for stop in session.route.stops if stop.tree.id == tree)


def _key(session: Session, stop: Stop) -> str:
    if not isinstance(stop.node, Question):
        return ""
    if stop.passing == "answered":
        return session.known.findings[stop.node.check].answer
    return ELSE if stop.passing in {"cannot-tell", "does-not-apply", "never-after"} else ""
