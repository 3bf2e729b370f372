"""JCGM 106:2012, clauses 7.3 and 7.4 and table 1: how likely it is that a measured item conforms."""

from statistics import NormalDist

import pytest

from diagtree.measure.bands import band_shares, clear, clear_spans, guard_band

pytestmark = pytest.mark.outside


def test_motor_oil_conforms_with_the_printed_probability() -> None:
    """Clause 7.4: viscosity 13.6 with u = 1.8 between 12.5 and 16.3; prints 0.66."""
    _, inside, _ = band_shares(13.6, 2 * 1.8, [12.5, 16.3])  # U = 2u
    assert inside == pytest.approx(0.66, abs=0.005)


def test_a_voltage_below_one_limit_conforms_with_the_printed_probability() -> None:
    """Clause 7.3 (from memory): -5.47 with u = 0.05 below -5.40; prints 0.92."""
    below, _ = band_shares(-5.47, 2 * 0.05, [-5.40])
    assert below == pytest.approx(0.92, abs=0.005)


def test_a_length_above_one_limit_conforms_with_the_printed_probability() -> None:
    """Clause 7.3 (from memory): 509.7 with u = 8.6 from 490; prints 0.99."""
    _, above = band_shares(509.7, 2 * 8.6, [490.0])
    assert above == pytest.approx(0.99, abs=0.005)


@pytest.mark.parametrize(("p", "z"), [(0.80, 0.842), (0.90, 1.282), (0.95, 1.645), (0.99, 2.326), (0.999, 3.090)])
def test_table_1_gives_the_distance_from_a_limit_for_each_probability(p: float, z: float) -> None:
    """Table 1 (from memory): z is printed to three decimals; p may be off by that times the density there."""
    _, above = band_shares(z, 2.0, [0.0])
    assert above == pytest.approx(p, abs=0.0005 * NormalDist().pdf(z))


def test_the_guard_band_is_the_95_in_100_distance_of_table_1() -> None:
    """The distance is 1.645 standard uncertainties, u = U / 2, so half of it times U."""
    assert guard_band(10.0) == pytest.approx(10 / 2 * 1.645, abs=10 / 2 * 0.0005)
    assert not clear(band_shares(100 + 5 * 1.6443, 10.0, [100.0]))
    assert clear(band_shares(100 + 5 * 1.6455, 10.0, [100.0]))


@pytest.mark.parametrize(
    ("reading", "uncertainty", "limits", "place", "probability"),
    [
        (13.6, 2 * 1.8, [12.5, 16.3], 1, 0.6626298),
        (-5.47, 2 * 0.05, [-5.40], 0, 0.9192433),
        (509.7, 2 * 8.6, [490.0], 1, 0.9890095),
        (104.0, 10.0, [100.0], 1, 0.7881446),
    ],
)
def test_the_examples_to_seven_digits(
    reading: float, uncertainty: float, limits: list[float], place: int, probability: float
) -> None:
    """The same, recomputed by independent code."""
    assert band_shares(reading, uncertainty, limits)[place] == pytest.approx(probability, abs=5e-8)


def test_where_too_close_to_call_ends() -> None:
    """Limit 100, U = 10: at 100 -+ 8.224268, recomputed by independent code."""
    below, above = clear_spans(10.0, [100.0])
    assert below is not None
    assert above is not None
    assert below[1] == pytest.approx(100 - 8.224268, abs=5e-7)
    assert above[0] == pytest.approx(100 + 8.224268, abs=5e-7)
    assert guard_band(1.0) == pytest.approx(0.8224268, abs=5e-8)
