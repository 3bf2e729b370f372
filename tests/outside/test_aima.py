"""Russell and Norvig, Artificial Intelligence: A Modern Approach, 3rd edition, chapters 13 and 14; from memory.

The posteriors were recomputed by independent code; the book prints .6, .871 (as a ratio) and .284.
"""

from itertools import product

import pytest

from tests.reason.textbook import chances, check

pytestmark = pytest.mark.outside

DENTIST = {"cavity": 20.0, "none": 80.0}
ACHE = check("ache", {"cavity": (60, 40), "none": (10, 90)})
CATCH = check("catch", {"cavity": (90, 10), "none": (20, 80)})


def test_a_toothache_makes_a_cavity_six_in_ten() -> None:
    """Figure 13.3."""
    assert chances(DENTIST, [ACHE], {"ache": "yes"})["cavity"] == pytest.approx(0.6, abs=1e-12)


def test_a_toothache_and_a_catch_of_the_probe() -> None:
    """Section 13.5, with the two independent given the cavity."""
    found = chances(DENTIST, [ACHE, CATCH], {"ache": "yes", "catch": "yes"})
    assert found["cavity"] == pytest.approx(0.8709677, abs=5e-8)


def test_both_neighbours_call_about_the_burglar_alarm() -> None:
    """Figure 14.2, as eight joint causes of burglary, earthquake and alarm."""
    alarm = {(1, 1): 0.95, (1, 0): 0.94, (0, 1): 0.29, (0, 0): 0.001}
    weights, john, mary = {}, {}, {}
    for burglary, quake, rings in product((1, 0), repeat=3):
        name = f"b{burglary}-e{quake}-a{rings}"
        share = (0.001 if burglary else 0.999) * (0.002 if quake else 0.998)
        weights[name] = share * (alarm[burglary, quake] if rings else 1 - alarm[burglary, quake])
        john[name] = (90, 10) if rings else (5, 95)
        mary[name] = (70, 30) if rings else (1, 99)
    found = chances(weights, [check("john", john), check("mary", mary)], {"john": "yes", "mary": "yes"})
    burgled = sum(chance for name, chance in found.items() if name.startswith("b1"))
    assert burgled == pytest.approx(0.2841718354, abs=5e-11)
