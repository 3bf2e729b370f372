"""What to check next, from where a walk stands: the looks, the best scope now, the advice."""

from dataclasses import dataclass
from typing import Any, Literal

from diagtree.model.tree import Tree
from diagtree.reason.belief import Belief, Contradiction, belief
from diagtree.reason.looking import Look, Possible, Stops, looks, possible, stops
from diagtree.reason.policy import Policy, best, chosen, first_moves, mixed, quick
from diagtree.walk.session import Session

# Seconds to look for the best order where nobody names any and the answers are too many to list: `next` answers at
# once, and says that more time may find a better order.
SECONDS = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class Next:
    """What to check next. No looks, no stop and no advice where the answers contradict one another."""

    session: Session
    belief: Belief | Contradiction
    cars: tuple[Possible, ...]  # one for each build that is still possible
    stops: Stops | None
    looks: tuple[Look, ...]  # best net first
    advice: Policy | None


def look_ahead(session: Session, seconds: float | None = None) -> Next:
    """What to check next in the session's tree, whatever question it stands at.

    Args:
        session: where the answers come from.
        seconds: how long to look for the best order of checks, over all builds; None: the usual time.
    """
    now, cars = _standing(session, session.case.tree)
    if isinstance(now, Contradiction):
        return Next(session, now, (), None, (), None)
    return Next(session, now, cars, stops(cars), looks(cars), advise(cars, seconds or SECONDS))


def advise(cars: tuple[Possible, ...], seconds: float) -> Policy:
    """The first move of least cost over the builds, each going on by its own best policy."""
    if len(cars) == 1:
        return best(cars[0].here, seconds)
    each = seconds / len(cars)
    return chosen(mixed([(car.share, first_moves(car.here, each)) for car in cars]))


def _standing(session: Session, tree: Tree) -> tuple[Belief | Contradiction, tuple[Possible, ...]]:
    """The belief over a tree's causes, and a car of each build that is still possible; none on a contradiction."""
    case, known = session.case, session.known
    findings = tuple(known.findings.values())
    now = belief(case.library, tree, known.identified, findings)
    if isinstance(now, Contradiction):
        return now, ()
    shares: list[float] = now.joint.sum(axis=0).tolist()
    return now, possible(case.library, tree, case.engine, zip(now.builds, shares, strict=True), findings)


@dataclass(frozen=True, slots=True)
class Hint:
    """The advice beside a question: the check to do first, or None to stop and repair."""

    check: str | None
    price: float  # money; 0 for None
    asked: str | None  # the check that the tree asks here
    by: Literal["best order", "single look"]  # the best order where it closes at once, else one look ahead
    stop: float  # mean loss of stopping now

    @property
    def parts(self) -> bool:
        """Whether the tree and the advice part here."""
        return self.check != self.asked


def hint(session: Session) -> Hint | None:
    """`look_briefly`, kept for the session asked last: a screen is drawn many times at one question."""
    if _LAST[0] is not session:
        _LAST[:] = [session, look_briefly(session)]
    found: Hint | None = _LAST[1]
    return found


# The session asked last, and its hint. Compared by identity: a session never changes.
_LAST: list[Any] = [None, None]


def look_briefly(session: Session) -> Hint | None:
    """The advice where a walk stands, quickly enough for every key; None where answers contradict one another, at an
    outcome, and in a library without an engine, where no repair has a price.
    """
    if session.check is None or not session.case.library.engines:
        return None
    now, cars = _standing(session, session.tree)
    if isinstance(now, Contradiction):
        return None
    loss = stops(cars).loss
    if all(quick(car.here) for car in cars):
        advised = advise(cars, SECONDS).check
        price = sum(car.share * _price(car, advised) for car in cars) if advised else 0.0
        return Hint(advised, price, session.check.id, "best order", loss)
    found = looks(cars)
    if found and found[0].net > 0.0:
        return Hint(found[0].check, found[0].price, session.check.id, "single look", loss)
    return Hint(None, 0.0, session.check.id, "single look", loss)


def _price(car: Possible, check: str) -> float:
    asked = car.here.case.checks[check]
    return car.here.price(asked) if asked.applies else 0.0
