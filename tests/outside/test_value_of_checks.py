"""Textbook values of one check, and of the order of checks.

A two-action problem becomes a fault whose repair costs the regret of acting in vain, a cause that needs no work, and a
goodwill of the regret of not acting when it was needed.
"""

import pytest

from diagtree.reason.policy import best, first_moves
from tests.reason.cases import check, plain

pytestmark = pytest.mark.outside


def test_a_seismic_survey() -> None:
    """Hillier and Lieberman, Introduction to Operations Research, Decision Analysis: worth of the survey 53, of
    perfect information 142.5; the inputs are the book's, the results from memory.
    """
    rows = {"oil": (60, 40), "dry": (20, 80)}
    here = plain({"oil": 25, "dry": 75}, {"oil": 190, "dry": None}, [check("survey", 30, rows)], goodwill=610)
    moves = first_moves(here)
    assert moves[None].cost == pytest.approx(190)
    assert moves["survey"].cost == pytest.approx(190 - 53 + 30)
    assert best(here).cost == pytest.approx(167)
    told = plain(
        {"oil": 25, "dry": 75},
        {"oil": 190, "dry": None},
        [check("told", 0, {"oil": (1, 0), "dry": (0, 1)})],
        goodwill=610,
    )
    assert moves[None].cost - best(told).cost == pytest.approx(142.5)


def test_a_mechanic_looks_at_a_used_car() -> None:
    """Russell and Norvig, Artificial Intelligence, 3rd edition, exercise 16.17: the look is worth nothing."""
    rows = {"good": (80, 20), "bad": (35, 65)}
    here = plain({"good": 70, "bad": 30}, {"good": 200, "bad": None}, [check("look", 50, rows)], goodwill=500)
    moves = first_moves(here)
    assert moves[None].cost == pytest.approx(200)
    assert moves["look"].cost == pytest.approx(250)
    assert best(here).check is None


def test_a_test_before_buying_a_car() -> None:
    """Neapolitan's car example: the test is worth 7.2 and costs 9, so the best is to buy without it."""
    rows = {"good": (90, 10), "lemon": (40, 60)}
    here = plain({"good": 80, "lemon": 20}, {"good": 100, "lemon": None}, [check("test", 9, rows)], goodwill=60)
    moves = first_moves(here)
    assert moves["test"].cost == pytest.approx(100 - 7.2 + 9)
    assert best(here).cost == pytest.approx(100)
    assert best(here).check is None


def test_the_cost_loss_model_of_a_forecast() -> None:
    """Richardson 2000, Q. J. R. Meteorol. Soc. 126:649: mean expense pHC + (1 - p)FC + p(1 - H)L with a forecast."""
    rows = {"storm": (80, 20), "calm": (10, 90)}
    here = plain({"storm": 30, "calm": 70}, {"storm": 20, "calm": None}, [check("forecast", 1, rows)], goodwill=80)
    p, hit, false, cost, loss = 0.3, 0.8, 0.1, 20, 100
    expense = p * hit * cost + (1 - p) * false * cost + p * (1 - hit) * loss
    assert first_moves(here)[None].cost == pytest.approx(min(cost, p * loss))
    assert expense == pytest.approx(12.2)
    assert best(here).cost == pytest.approx(13.2)


def test_is_it_this_one_by_falling_chance_per_price() -> None:
    """The order p/c of Simon and Kadane 1975 (Artif. Intell. 6) and Kalagnanam and Henrion 1988 (arXiv 1304.2362).

    The numbers are our own, recomputed by independent code.
    """
    weights = {"one": 36.0, "two": 27.0, "three": 18.0, "four": 9.0, "rest": 10.0}
    prices = {"one": 5, "two": 15, "three": 1, "four": 2}
    checks = [check(f"is-{name}", price, {"default": (0, 1), name: (1, 0)}) for name, price in prices.items()]
    here = plain(weights, dict.fromkeys(weights, 1000), checks, goodwill=10000)
    assert best(here).cost == pytest.approx(1011.57)
    assert best(here).check == "is-three"


def test_the_last_of_a_list_is_inferred() -> None:
    """Against p/c: with no other cause left the second check alone decides; our own counter-example."""
    checks = [check("is-one", 8, {"one": (1, 0), "two": (0, 1)}), check("is-two", 2.1, {"two": (1, 0), "one": (0, 1)})]
    here = plain({"one": 80, "two": 20}, {"one": 1000, "two": 1000}, checks, goodwill=10000)
    assert best(here).cost == pytest.approx(1002.1)
    assert best(here).check == "is-two"
