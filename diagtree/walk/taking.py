"""A reply to any check, read and taken."""

from diagtree.measure.trouble import quote
from diagtree.walk.answers import Refused, read_finding
from diagtree.walk.replies import Reply, Told, Untold
from diagtree.walk.session import Session, replayed

CANNOT_TELL = "?"


def told(session: Session, reply: Reply) -> Session:
    """The walk after one more reply."""
    return replayed(session.case, session.preset, (*session.replies, reply), session.acknowledged)


def about(session: Session, check_id: str, text: str) -> Reply | Refused:
    """A reply to any check of the library, or why it cannot be one."""
    check = session.case.library.checks.get(check_id)
    if not check:
        return Refused(f"{quote(check_id)} is no check of this library.")
    if text.strip() == CANNOT_TELL:
        return Untold(check.id)
    if not session.known.applies(check):
        return Refused(f"The check '{check.id}' does not apply to {_bay(session)}.")
    finding = read_finding(check, session.case.engine, text)
    return finding if isinstance(finding, Refused) else Told(finding)


def _bay(session: Session) -> str:
    possible = session.known.builds
    return f"the build '{possible[0].id}'" if len(possible) == 1 else "any build that is still possible"
