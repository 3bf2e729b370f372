"""The oil wildcatter, Raiffa 1968 and Shenoy 1992: 20 without a test, 32.5 with it; knowing all is worth 35.

As losses: drilling costs 70 whatever is found; leaving a wet hole costs 50 beyond that, a soaking one 200. The payoff
is 90 less the loss: 0, 120 and 270 at best in the three states, by their chances.
"""

from collections.abc import Mapping, Sequence

import pytest

from diagtree.graph.serving import builds
from diagtree.reason.case import case
from diagtree.reason.policy import best, first_moves
from diagtree.reason.standing import Standing, start
from tests.reason.cases import check, library, step

pytestmark = pytest.mark.outside

ROWS = {"dry": (0.1, 0.3, 0.6), "wet": (0.3, 0.4, 0.3), "soaking": (0.5, 0.4, 0.1)}
AT_BEST = 0.3 * 120 + 0.2 * 270


def well(price: float, rows: Mapping[str, Sequence[float]]) -> Standing:
    made = library(
        {"dry": 0.5, "wet": 0.3, "soaking": 0.2},
        {"dry": [], "wet": ["drill"], "soaking": ["drill"]},
        [step("drill", 70)],
        [check("seismic", price, rows)],
        goodwill=50,
        missed={"soaking": 150},
    )
    engine = made.engines["e"]
    return start(case(made, made.trees["t"], engine, builds(engine)[0]))


def test_what_the_test_is_worth() -> None:
    moves = first_moves(well(0, ROWS))
    assert AT_BEST - moves[None].cost == pytest.approx(20)
    assert AT_BEST - moves["seismic"].cost == pytest.approx(32.5)


def test_after_a_price_of_ten() -> None:
    found = best(well(10, ROWS))
    assert AT_BEST - found.cost == pytest.approx(22.5)
    assert found.exact
    assert found.check == "seismic"


def test_knowing_all() -> None:
    known = {"dry": (1.0, 0.0, 0.0), "wet": (0.0, 1.0, 0.0), "soaking": (0.0, 0.0, 1.0)}
    here = well(0, known)
    assert first_moves(here)[None].cost - best(here).cost == pytest.approx(35)


def test_how_often_each_result_is_seen() -> None:
    here = well(0, ROWS)
    seen = here.case.checks["seismic"].rows @ here.chances
    assert seen.tolist() == pytest.approx([0.24, 0.35, 0.41])
