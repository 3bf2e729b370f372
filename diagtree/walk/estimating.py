"""The estimate of the visit that a walk is part of."""

from diagtree.estimate.estimate import Estimate, TooMany, Visit, estimate
from diagtree.reason.belief import Contradiction
from diagtree.walk.session import Session


def estimated(session: Session, slow: float = 1.0) -> Estimate | Contradiction | TooMany:
    """What the whole visit takes, from the start of the tree, with what is known deciding where it is met.

    Args:
        session: where tree, engine, builds and answers come from.
        slow: by how much every work step's hours are stretched, above 0.

    Returns:
        The estimate; a contradiction where no cause in any build can give these answers; `TooMany` where the tree has
        more ways than can be reckoned exactly.
    """
    case, known = session.case, session.known
    findings = tuple(known.findings.values())
    visit = Visit(case.library, case.tree, case.engine, known.identified, findings, known.unknown)
    return estimate(visit, slow)
