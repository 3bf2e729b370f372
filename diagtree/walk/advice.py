"""What to check next, from where a walk stands: the looks, the best scope now, the advice."""

from dataclasses import dataclass

from diagtree.model.engine import Build
from diagtree.reason.belief import Belief, Contradiction, belief
from diagtree.reason.looking import Look, Possible, Stops, looks, possible, stops
from diagtree.walk.session import Session


@dataclass(frozen=True, slots=True, eq=False)
class Next:
    """What to check next. Empty looks and no stop where the answers contradict one another."""

    session: Session
    belief: Belief | Contradiction
    cars: tuple[Possible, ...]  # one for each build that is still possible
    stops: Stops | None
    looks: tuple[Look, ...]  # best net first


def look_ahead(session: Session) -> Next:
    """What to check next in the session's tree, whatever question it stands at."""
    case, known = session.case, session.known
    findings = tuple(known.findings.values())
    now = belief(case.library, case.tree, known.identified, findings)
    if isinstance(now, Contradiction):
        return Next(session, now, (), None, ())
    cars = possible(case.library, case.tree, case.engine, _shares(now), findings)
    return Next(session, now, cars, stops(cars), looks(cars))


def _shares(now: Belief) -> list[tuple[Build, float]]:
    return list(zip(now.builds, now.joint.sum(axis=0).tolist(), strict=True))
