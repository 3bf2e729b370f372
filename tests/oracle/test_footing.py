"""The plain reading itself against published figures: it must be right before anything is held against it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.oracle.believing import band_shares, belief, best_scope, conflict
from tests.oracle.buying import cheapest, cost
from tests.oracle.reading import mean_hours, read_text
from tests.oracle.scoping import Part

TEXTBOOK = """
checks:
  survey: {ask: "Result?", hours: 30, slip: 0, answers: {good: G, bad: B}, given: {default: 0, oil: 60, dry: 20}}
  oil-thickness: {ask: "Viscosity?", hours: 1, reading: {unit: mm, uncertainty: 3.6},
    answers: {thin: {below: 12.5}, fair: {from: 12.5, below: 16.3}, thick: {from: 16.3}}}
---
faults:
  oil: {title: Oil, why: W, repair: [act], verify: [V]}
  dry: {title: Dry, why: W, repair: [], verify: [V]}
---
shop: s
name: S
currency: EUR
labour-rate: 1
goodwill: 610
---
engine: e
title: E
builds: {one: {share: 1}}
work: {act: {title: Act, hours: 190}}
parts: {}
---
tree: t
weights: {oil: 25, dry: 75}
nodes: {}
"""


def test_loss_now_and_after_a_survey() -> None:
    """Hillier and Lieberman, Decision Analysis: loss 190 before, worth of the survey 53 (from memory)."""
    library = read_text(TEXTBOOK)
    engine, tree = library.engines["e"], library.trees["t"]
    now, _ = best_scope(library, engine, {}, belief(library, engine, tree, {}), set())
    after = 0.0
    for answer, chance in {"good": 0.25 * 0.6 + 0.75 * 0.2, "bad": 0.25 * 0.4 + 0.75 * 0.8}.items():
        chances = belief(library, engine, tree, {"survey": answer})
        after += chance * best_scope(library, engine, {}, chances, set())[0]
    assert now == pytest.approx(190)
    assert now - after == pytest.approx(53)


def test_belief_after_a_survey() -> None:
    """Bayes by hand: 0.15 / 0.30; one answer alone is never in conflict."""
    library = read_text(TEXTBOOK)
    engine, tree = library.engines["e"], library.trees["t"]
    assert belief(library, engine, tree, {"survey": "good"})["oil"] == pytest.approx(0.5)
    assert conflict(library, engine, tree, {"survey": "good"}) == pytest.approx(0)


def test_a_motor_oil_between_two_limits() -> None:
    """JCGM 106:2012, 7.4: 0.66."""
    shares = band_shares(read_text(TEXTBOOK), {}, "oil-thickness", 13.6)
    assert shares["fair"] == pytest.approx(0.6626298, abs=1e-7)


def test_mean_of_three_point_hours() -> None:
    """Beta-PERT [10, 30, 90]: (10 + 120 + 90) / 6."""
    assert mean_hours(["10", "30", "90"]) == Fraction(220, 6)


def test_crews_cover_flights() -> None:
    """Hillier and Lieberman, crew cover: best 18 twice, {1, 5, 12} and {3, 4, 11}; the lower numbers win."""
    costs = [2, 3, 4, 6, 7, 5, 7, 8, 9, 9, 8, 9]
    flights = {
        1: [1, 4, 7, 10],
        2: [2, 5, 8, 11],
        3: [3, 6, 9, 12],
        4: [4, 7, 9, 10, 12],
        5: [1, 6, 10, 11],
        6: [4, 5, 9],
        7: [7, 8, 10, 11, 12],
        8: [2, 4, 5, 9],
        9: [5, 8, 11],
        10: [3, 7, 8, 12],
        11: [6, 9, 10, 11, 12],
    }
    kits = [
        {
            "number": f"K{crew:02}",
            "price": str(costs[crew - 1]),
            "holds": {f"flight-{flight}": "1" for flight, crews in flights.items() if crew in crews},
        }
        for crew in range(1, 13)
    ]
    needed = {
        f"flight-{flight}": Part(f"F{flight:02}", Fraction(1), Fraction(100), single_use=False) for flight in flights
    }
    (basket,) = cheapest({"kits": kits}, {}, needed)
    assert cost(basket) == 18
    assert sorted(basket) == ["K01", "K05", "K12"]
