"""Lauritzen and Spiegelhalter, J. R. Statist. Soc. B 50 (1988): the chest clinic, visit to Asia and dyspnoea seen.

As eight joint causes of tuberculosis, lung cancer and bronchitis. .09952515 and .8114021 are printed by Hojsgaard, J.
Stat. Softw. 46(10), 2012; the further digits were recomputed by independent code.
"""

from itertools import product
from math import exp

import pytest

from diagtree.reason.belief import Belief
from tests.reason.textbook import chances, check, weigh

pytestmark = pytest.mark.outside

# Tuberculosis, lung cancer, bronchitis: weight of the three together given the visit, times 1e6.
WEIGHTS = dict(
    zip(
        ("111", "110", "101", "100", "011", "010", "001", "000"),
        (1575, 1175, 20925, 26325, 29925, 22325, 397575, 500175),
        strict=True,
    )
)
SHORT_OF_BREATH = dict(zip(WEIGHTS, (90, 70, 90, 70, 90, 70, 80, 10), strict=True))
DYSPNOEA = check("dyspnoea", {name: (percent, 100 - percent) for name, percent in SHORT_OF_BREATH.items()})


def total(found: dict[str, float], place: int) -> float:
    """P of one of the three diseases."""
    return sum(chance for name, chance in found.items() if name[place] == "1")


def test_three_diseases_after_a_visit_and_dyspnoea() -> None:
    found = chances(WEIGHTS, [DYSPNOEA], {"dyspnoea": "yes"})
    assert [total(found, place) for place in range(3)] == pytest.approx(
        [0.0877509650, 0.0995251451, 0.8114020716], abs=5e-11
    )


def test_how_often_dyspnoea_is_seen_after_a_visit() -> None:
    found = weigh(WEIGHTS, [DYSPNOEA], {"dyspnoea": "yes"})
    assert isinstance(found, Belief)
    assert exp(found.log_evidence) == pytest.approx(0.4501375, abs=5e-8)


def test_a_smoker() -> None:
    """With P(lung | smoker) .1 and P(bronchitis | smoker) .6 of the same net."""
    weights = {
        f"{tub}{lung}{bronc}": (0.05 if tub else 0.95) * (0.1 if lung else 0.9) * (0.6 if bronc else 0.4)
        for tub, lung, bronc in product((1, 0), repeat=3)
    }
    found = chances(weights, [DYSPNOEA], {"dyspnoea": "yes"})
    assert total(found, 1) == pytest.approx(0.1455191, abs=5e-8)
    assert total(found, 2) == pytest.approx(0.8672582, abs=5e-8)
