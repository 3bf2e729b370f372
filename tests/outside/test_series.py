"""Mitten 1960: a series of tests until one fails, by falling chance per price. Numbers from memory, recomputed."""

from itertools import product
from math import prod

import pytest

from diagtree.graph.serving import builds
from diagtree.reason.case import case
from diagtree.reason.policy import best, first_moves
from diagtree.reason.standing import start
from tests.reason.cases import check, library, step

pytestmark = pytest.mark.outside

COSTS = (1.75, 2.00, 2.40)
FAILS = (0.125, 0.075, 0.14)
REJECT = 1000.0


def test_the_series_begins_with_the_first_and_costs_5_355() -> None:
    """Every joint state of the three parts is a cause; any failure wants the same rejection."""
    states = ["".join(bits) for bits in product("01", repeat=3)]
    weights = {
        f"s{state}": prod(p if bit == "1" else 1 - p for bit, p in zip(state, FAILS, strict=True)) for state in states
    }
    tests = [
        check(f"test-{at + 1}", price, {f"s{state}": (1, 0) if state[at] == "1" else (0, 1) for state in states})
        for at, price in enumerate(COSTS)
    ]
    repairs: dict[str, list[str]] = {f"s{state}": ["reject"] if "1" in state else [] for state in states}
    made = library(weights, repairs, [step("reject", REJECT)], tests, goodwill=10_000)
    engine = made.engines["e"]
    here = start(case(made, made.trees["t"], engine, builds(engine)[0]))
    found = best(here)
    rejected = REJECT * (1 - prod(1 - p for p in FAILS))
    assert found.exact
    assert found.cost - rejected == pytest.approx(5.355, abs=5e-4)
    assert found.check == "test-1"
    moves = first_moves(here)
    assert moves["test-1"].cost < moves["test-3"].cost < moves["test-2"].cost
