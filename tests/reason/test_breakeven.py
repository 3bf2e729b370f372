"""Break-evens: against the closed form of one check and two actions, and against the advice on both sides."""

import pytest

from diagtree.reason.breakeven import BreakEven, Cars, break_evens
from diagtree.reason.looking import Possible
from diagtree.reason.policy import best
from diagtree.reason.standing import Standing
from tests.reason.cases import check, plain

ROWS = {"oil": (60, 40), "dry": (20, 80)}


def survey(price: float, oil: float = 25.0) -> Standing:
    """A survey before drilling: worth 53 at one in four (Hillier and Lieberman, Introduction to OR)."""
    return plain(
        {"oil": oil, "dry": 100 - oil}, {"oil": 190, "dry": None}, [check("survey", price, ROWS)], goodwill=610
    )


def advise(cars: Cars) -> str | None:
    return best(cars[0].here, None).check


def found(here: Standing, most: int = 3) -> tuple[BreakEven, ...]:
    result = break_evens((Possible(1.0, here),), advise, ("survey",), 60.0, most)
    assert result.searched
    return result.found


def test_the_price_at_which_a_survey_no_longer_pays_is_its_worth() -> None:
    price = next(one for one in found(survey(50), 99) if one.figure.kind == "price")
    assert price.now == 50
    assert price.until == pytest.approx(53, rel=2e-3)
    assert price.becomes is None


def test_the_weight_at_which_a_survey_no_longer_pays() -> None:
    """At P of oil: worth = min(190, 800 P) - [190 (.6 P + .2 (1 - P)) + 800 * .4 P], where the survey decides."""
    weight = next(one for one in found(survey(50), 99) if one.figure.kind == "weight" and one.figure.cause == "oil")
    share = weight.until
    decided = 190 * (0.6 * share + 0.2 * (1 - share)) + 800 * 0.4 * share
    assert min(190.0, 800 * share) - decided == pytest.approx(50, abs=0.5)


def test_nothing_is_named_where_nothing_changes_the_advice() -> None:
    free = plain({"oil": 25, "dry": 75}, {"oil": 190, "dry": None}, [check("survey", 0, ROWS)], goodwill=610)
    assert all(one.figure.kind != "price" for one in found(free, 99))


def test_the_nearest_come_first_and_each_changes_the_advice() -> None:
    evens = found(survey(45))
    distance = [max(one.factor, 1 / one.factor) for one in evens]
    assert distance == sorted(distance)
    assert all(one.becomes != "survey" for one in evens)
    assert len(evens) <= 3


def test_no_time_is_said() -> None:
    result = break_evens((Possible(1.0, survey(30)),), advise, ("survey",), 0.0)
    assert not result.searched
