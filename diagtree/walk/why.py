"""Why a check: which causes it tells apart, what each answer would do, and what would change the advice."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from diagtree.reason.breakeven import BreakEvens, Cars, break_evens
from diagtree.reason.looking import Possible, looks, meant
from diagtree.reason.policy import best, chosen, first_moves, mixed
from diagtree.reason.standing import Standing, answered
from diagtree.walk.advice import Next

# A cause speaks for an answer where it makes the answer likelier than this many times its mean.
SPEAKS = 1.25
# Causes rarer than this are not told of.
RARE = 0.01
# Seconds for the break-evens, where nobody names any.
SECONDS = 8.0


@dataclass(frozen=True, slots=True)
class Then:
    """What one answer would do, on the likeliest build."""

    answer: str
    probability: float
    belief: dict[str, float]
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    repair: tuple[str, ...]  # the best scope then; empty where nothing can be repaired
    bill: float  # labour and parts of that scope, what is open already not paid again
    loss: float  # with the come-backs that it leaves


@dataclass(frozen=True, slots=True)
class Why:
    """A check, explained."""

    check: str
    answers: tuple[Then, ...]
    by: Literal["best order", "single look"]  # what advice the break-evens are of
    advice: str | None  # that advice
    break_evens: BreakEvens


def why(found: Next, check: str, seconds: float | None = None) -> Why:
    """Explain a check that may be done now. `found` has cars."""
    # Where the best order is not closed, a small change of what a search finds may be the search's own doing.
    exact = found.advice is not None and found.advice.exact
    advise = _by_order if exact else _by_look
    advice = found.advice.check if found.advice and exact else advise(found.cars)
    rivals = dict.fromkeys(name for name in (advice, check, *(look.check for look in found.looks[:1])) if name)
    evens = break_evens(found.cars, advise, tuple(rivals), seconds or SECONDS)
    return Why(check, answers_of(found, check), "best order" if exact else "single look", advice, evens)


def answers_of(found: Next, check: str) -> tuple[Then, ...]:
    """What each answer of a check would do, on the likeliest build. `found` has cars."""
    return tuple(_answers(max(found.cars, key=lambda one: one.share), check))


def _by_order(cars: Cars) -> str | None:
    """The first move of the best order."""
    if len(cars) == 1:
        return best(cars[0].here, None).check
    return chosen(mixed([(car.share, first_moves(car.here, None)) for car in cars])).check


def _by_look(cars: Cars) -> str | None:
    """The check of best net, where it is worth its price alone."""
    found = looks(cars)
    return found[0].check if found and found[0].net > 0.0 else None


def _answers(car: Possible, check: str) -> Iterator[Then]:
    here = car.here
    asked = here.case.checks.get(check)
    if asked is None or not asked.applies:
        return
    for place, answer in enumerate(asked.answers):
        after = answered(here, asked, place)
        if after.mass > 0.0:
            yield _then(here, after, answer)


def _then(before: Standing, after: Standing, answer: str) -> Then:
    of = before.case
    was, now = before.chances / before.mass, after.chances / after.mass
    common = [at for at, chance in enumerate(was.tolist()) if chance >= RARE]
    stop = after.stop()
    return Then(
        answer=answer,
        probability=after.mass / before.mass,
        belief=dict(zip(of.causes, now.tolist(), strict=True)),
        speaks_for=tuple(of.causes[at] for at in common if now[at] > SPEAKS * was[at]),
        speaks_against=tuple(of.causes[at] for at in common if SPEAKS * now[at] < was[at]),
        repair=tuple(of.causes[at] for at in meant(after, stop)) if stop else (),
        bill=of.cost(stop.steps) if stop else 0.0,
        loss=stop.loss / after.mass if stop else 0.0,
    )
