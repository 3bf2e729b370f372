"""Diagnostic tests read at their base rates: three sources, all from memory, recomputed by independent code."""

import pytest

from tests.reason.textbook import chances, check

pytestmark = pytest.mark.outside


def test_a_rare_disease_and_a_false_alarm_of_one_in_twenty() -> None:
    """Casscells, Schoenberger and Graboys, NEJM 299 (1978): prior .001, false alarm .05, no miss."""
    found = chances({"ill": 0.001, "well": 0.999}, [check("test", {"ill": (100, 0), "well": (5, 95)})], {"test": "yes"})
    assert found["ill"] == pytest.approx(0.0196271, abs=5e-8)


def test_a_mammogram_read_as_positive() -> None:
    """Eddy 1982: prior .01, hit .792, false alarm .096."""
    rows = {"ill": (79.2, 20.8), "well": (9.6, 90.4)}
    found = chances({"ill": 1, "well": 99}, [check("test", rows)], {"test": "yes"})
    assert found["ill"] == pytest.approx(0.0769231, abs=5e-8)


def test_a_defect_from_one_of_three_machines() -> None:
    """The three-machines exercise of many textbooks: 25, 35 and 40 % of output, 5, 4 and 2 % of it defective."""
    rows = {"first": (5, 95), "second": (4, 96), "third": (2, 98)}
    found = chances({"first": 25, "second": 35, "third": 40}, [check("defect", rows)], {"defect": "yes"})
    assert list(found.values()) == pytest.approx([25 / 69, 28 / 69, 16 / 69], abs=1e-14)
