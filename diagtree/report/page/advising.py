"""The advice beside the questions that cars come to most often, worked out beforehand.

Every state of every walk would be far too many. They are taken by how often the tables say that a car gives such
answers; the page says so where a walk comes to another one.
"""

from collections.abc import Iterator
from heapq import heappop, heappush
from itertools import count

from diagtree.reason.belief import Belief
from diagtree.report.advice import hint_lines
from diagtree.report.page.ground import Ground
from diagtree.walk.answers import Refused
from diagtree.walk.moves import cannot_tell, tell
from diagtree.walk.result import believing
from diagtree.walk.session import Session

MOST = 120  # questions, each with the answers before it
_UNTOLD = 3.0  # nats: how much rarer an answer that could not be had is taken to be, for the order alone


def advice(ground: Ground) -> dict[str, str]:
    """State -> the advice in words."""
    if not ground.library.engines:
        return {}
    found: dict[str, str] = {}
    ticks = count()
    waiting: list[tuple[float, int, float, Session]] = [(0.0, next(ticks), 0.0, ground.start)]
    while waiting and len(found) < MOST:
        _, _, penalty, session = heappop(waiting)
        name = state_key(session)
        if session.check is None or name in found:
            continue
        found[name] = " ".join(hint_lines(session))
        for after, more in _next(session):
            now = believing(after)
            if isinstance(now, Belief):
                rare = penalty + more
                heappush(waiting, (rare - now.log_evidence, next(ticks), rare, after))
    return found


def state_key(session: Session) -> str:
    """The node, and what is known there."""
    known = sorted(f"{name}={finding.answer}" for name, finding in session.known.findings.items())
    return f"{session.tree.id}/{session.here.node.id}|{' '.join(known)}"


def _next(session: Session) -> Iterator[tuple[Session, float]]:
    check = session.check
    assert check is not None
    for answer in check.answers:
        after = tell(session, check.id, answer.id)
        if not isinstance(after, Refused):
            yield after, 0.0
    after = cannot_tell(session)
    if not isinstance(after, Refused):
        yield after, _UNTOLD
