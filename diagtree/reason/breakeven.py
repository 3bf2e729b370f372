"""How far a figure may move before the advice changes: a check's price, a cause's weight, an entry of a table.

The advice is a least cost among first moves, and each cost moves without jumps as a figure moves: so the place where
the least one changes is found by trying wider and wider moves, then by halving.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from time import monotonic
from typing import Literal, TypeAlias

import numpy as np

from diagtree.reason.case import Asked, Case
from diagtree.reason.looking import Possible
from diagtree.reason.standing import Standing
from diagtree.reason.tables import Floats

Cars: TypeAlias = tuple[Possible, ...]
Advise: TypeAlias = Callable[[Cars], str | None]

# Moves tried, as factors, the nearest first; each up and down.
STEPS = (1.1, 1.25, 1.5, 2.0, 3.0, 5.0, 8.0)
# Halvings between the last move that changes nothing and the first that does: to a thousandth of the figure.
_HALVINGS = 10
# Causes below this chance are not moved: no reader would look there.
_RARE = 0.01
NAMED = 3


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure that the advice rests on."""

    kind: Literal["price", "weight", "entry"]
    check: str = ""  # of a price or an entry
    cause: str = ""  # of a weight or an entry
    answer: str = ""  # of an entry


@dataclass(frozen=True, slots=True)
class BreakEven:
    """Where the advice changes, all other figures staying as they are."""

    figure: Figure
    now: float  # money; share of the causes; P(answer | cause)
    until: float  # the figure's value where the advice changes
    factor: float  # of the move: until / now for a price and a weight's odds
    becomes: str | None  # the check advised from there on; None: stop and repair


@dataclass(frozen=True, slots=True)
class BreakEvens:
    """The nearest ones, nearest first."""

    found: tuple[BreakEven, ...]
    searched: bool  # whether every figure was tried as far as the widest move, or enough were found before


def break_evens(cars: Cars, advise: Advise, checks: tuple[str, ...], seconds: float, most: int = NAMED) -> BreakEvens:
    """The `most` figures whose smallest moves change the advice.

    Args:
        cars: where a car of each build that is still possible stands.
        advise: the advice for such cars; None means stop.
        checks: whose tables are moved: the advised one and its rivals. Prices of all open checks are.
        seconds: stop after so long.
        most: how many to find.
    """
    end = monotonic() + seconds
    before = advise(cars)
    figures = tuple(_figures(cars, checks))
    found: list[BreakEven] = []
    last = 1.0
    for step in STEPS:
        for figure in figures:
            for low, high in ((last, step), (1.0 / last, 1.0 / step)):
                if monotonic() > end:
                    return BreakEvens(_nearest(found)[:most], searched=False)
                if any(one.figure == figure for one in found):
                    continue
                moved = _move(cars, figure, high)
                if moved is not None and advise(moved) != before:
                    found.append(_halve(cars, advise, figure, (low, high), before))
        if len({one.figure for one in found}) >= most:
            break
        last = step
    return BreakEvens(_nearest(found)[:most], searched=True)


def _nearest(found: list[BreakEven]) -> tuple[BreakEven, ...]:
    return tuple(sorted(found, key=lambda one: abs(np.log(one.factor))))


def _halve(cars: Cars, advise: Advise, figure: Figure, between: tuple[float, float], before: str | None) -> BreakEven:
    same, other = between
    becomes: str | None = None
    for halving in range(_HALVINGS + 1):
        factor = other if halving == 0 else (same * other) ** 0.5
        moved = _move(cars, figure, factor)
        advice = advise(moved) if moved is not None else before
        if advice == before:
            same = factor
        else:
            other, becomes = factor, advice
    moved = _move(cars, figure, other)
    assert moved is not None
    return BreakEven(figure, _value(cars, figure), _value(moved, figure), other, becomes)


def _figures(cars: Cars, checks: tuple[str, ...]) -> Iterator[Figure]:
    first = cars[0].here
    for check in dict.fromkeys(check.id for car in cars for check in car.here.open_checks()):
        yield Figure("price", check=check)
    likely = [cause for at, cause in enumerate(first.case.causes) if float(first.chances[at]) >= _RARE * first.mass]
    if len(likely) > 1:
        for cause in likely:
            yield Figure("weight", cause=cause)
    for name in checks:
        for answer in first.case.checks[name].answers:
            for cause in likely:
                yield Figure("entry", check=name, cause=cause, answer=answer)


def _move(cars: Cars, figure: Figure, factor: float) -> Cars | None:
    """The cars with one figure times a factor; None where it can't move so."""
    moved = tuple(Possible(car.share, _moved(car.here, figure, factor)) for car in cars)
    if figure.kind == "weight":  # a weight weighs on the builds as well
        masses = [car.share * after.here.mass / car.here.mass for car, after in zip(cars, moved, strict=True)]
        whole = sum(masses)
        return tuple(Possible(mass / whole, car.here) for mass, car in zip(masses, moved, strict=True))
    if figure.kind == "entry" and _value(moved, figure) == _value(cars, figure):
        return None
    return moved


def _moved(here: Standing, figure: Figure, factor: float) -> Standing:
    of = here.case
    if figure.kind == "weight":
        if figure.cause not in of.causes:
            return here
        chances = here.chances.copy()
        chances[of.causes.index(figure.cause)] *= factor
        return replace(here, chances=chances)
    return replace(here, case=_with(of, figure, factor))


def _with(of: Case, figure: Figure, factor: float) -> Case:
    """The case with a figure of a check moved, in this tree and in those that it goes on in."""
    check = of.checks.get(figure.check)
    if check is None:
        return of
    if figure.kind == "price":
        check = replace(check, price=check.price * factor)
    elif figure.cause in of.causes:
        row = _entry(check, of.causes.index(figure.cause), check.answers.index(figure.answer), factor)
        check = replace(check, rows=row)
    moved = replace(of, checks={**of.checks, check.id: check})
    # Else the further cases would be made anew from the library, where nothing has moved.
    vars(moved)["beyond"] = {tree: _with(there, figure, factor) for tree, there in of.beyond.items()}
    return moved


def _entry(check: Asked, cause: int, answer: int, factor: float) -> Floats:
    """The rows with one entry moved; the others of that cause share what is left as before."""
    rows = check.rows.copy()
    now = float(rows[answer, cause])
    then = min(now * factor, 1.0)
    if now < 1.0:
        rows[:, cause] *= (1.0 - then) / (1.0 - now)
        rows[answer, cause] = then
    return rows


def _value(cars: Cars, figure: Figure) -> float:
    here = cars[0].here
    if figure.kind == "price":
        return sum(car.share * car.here.case.checks[figure.check].price for car in cars)
    at = here.case.causes.index(figure.cause)
    if figure.kind == "weight":
        return sum(car.share * float(car.here.chances[at]) / car.here.mass for car in cars)
    check = here.case.checks[figure.check]
    return float(check.rows[check.answers.index(figure.answer), at])
