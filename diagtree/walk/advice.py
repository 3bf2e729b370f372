"""What to check next, from where a walk stands: the looks, the best scope now, the advice."""

from dataclasses import dataclass
from typing import Any, Literal

from diagtree.model.tree import Question, Tree
from diagtree.reason.belief import Belief, Contradiction, belief
from diagtree.reason.looking import Look, Possible, Stops, looks, possible, stops
from diagtree.reason.policy import TIE, Policy, Span, best, chosen, first_moves, mixed, quick
from diagtree.reason.standing import Standing
from diagtree.reason.walking import RARE, walk_and_asked_cost
from diagtree.walk.session import Session

# Where nobody names a time and the answers are too many to list, `next` answers at once, and says that more time may
# find a better order. What it does then is counted, not timed: the same answers have the same advice, on any machine.
# Share of all cars below which the tree's own order is weighed as written, its best scopes not looked for.
_RARE = 1e-3
# Steps of a search where the tree goes on in another, as its own order takes most of a second to weigh there; and where
# answers are known, which may have come in another order. Before any, the tree's own order is hard to beat.
_STEPS_ONWARD = 10
_STEPS_TOLD = 12
# A limit that is not met; but listing answers goes by the larger of it and its own.
_LONG = 5.0


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
        seconds: how long to look for the best order of checks, over all builds; None: a first look, which is the same
            every time.
    """
    now, cars = _standing(session, session.case.tree)
    if isinstance(now, Contradiction):
        return Next(session, now, (), None, (), None)
    return Next(session, now, cars, stops(cars), looks(cars), advise(cars, seconds))


def advise(cars: tuple[Possible, ...], seconds: float | None = None) -> Policy:
    """The first move of least cost over the builds, each going on by its own best policy.

    The order in which the tree itself asks is one of those that are compared.

    Args:
        cars: one for each build that is possible.
        seconds: as for `look_ahead`.
    """
    each = None if seconds is None else seconds / len(cars)
    if len(cars) == 1:
        return _one(cars[0].here, each)
    return chosen(mixed([(car.share, _moves(car.here, each)) for car in cars]))


def _one(here: Standing, seconds: float | None) -> Policy:
    first = _first(here)
    time, steps = _limits(here, seconds)
    found = best(here, time, steps=steps)
    if first is None or found.exact or (seconds is None and here.case.onward):
        return found
    cost = _as_asked(here, seconds)
    if cost >= found.cost * (1.0 - TIE):
        return found
    bound = min(found.bound, cost)
    return Policy(cost, bound, cost - bound <= TIE * cost, first)


def _moves(here: Standing, seconds: float | None) -> dict[str | None, Span]:
    first = _first(here)
    time, steps = _limits(here, seconds)
    found = first_moves(here, time, steps=steps)
    if first is None or first not in found or (seconds is None and here.case.onward):
        return found
    if all(span.cost == span.bound for span in found.values()):
        return found
    cost = min(found[first].cost, _as_asked(here, seconds))
    found[first] = Span(cost, min(found[first].bound, cost))
    return found


def _limits(here: Standing, seconds: float | None) -> tuple[float, int | None]:
    """Seconds and steps of a search."""
    if seconds is not None:
        return seconds, None
    return _LONG, _STEPS_ONWARD if here.case.onward else _STEPS_TOLD if here.findings else 0


def _as_asked(here: Standing, seconds: float | None) -> float:
    """What asking on as the tree does costs, each path ending in the best scope there."""
    _, asked = walk_and_asked_cost(here, _RARE if seconds is None else RARE)
    return asked / here.mass


def _first(here: Standing) -> str | None:
    """The first check that the tree asks from here; None where it asks no more."""
    nodes = here.case.tree.nodes
    node = nodes.get(here.case.tree.start)
    while isinstance(node, Question):
        known = here.findings.get(node.check)
        if known is not None:
            node = nodes.get(node.then[known.answer])
            continue
        check = here.case.checks[node.check]
        if check.applies and not here.forbidden(check):
            return node.check
        node = nodes.get(node.otherwise)
    return None


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
        advised = advise(cars).check
        price = sum(car.share * _price(car, advised) for car in cars) if advised else 0.0
        return Hint(advised, price, session.check.id, "best order", loss)
    found = looks(cars)
    if found and found[0].net > 0.0:
        return Hint(found[0].check, found[0].price, session.check.id, "single look", loss)
    return Hint(None, 0.0, session.check.id, "single look", loss)


def _price(car: Possible, check: str) -> float:
    asked = car.here.case.checks[check]
    return car.here.price(asked) if asked.applies else 0.0
