"""Normal densities and the truncated normal, held against 60-digit arithmetic."""

import math

import mpmath
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.measure.normal import Truncated, log_density, log_sum

CASES = [
    (0.009, 0.0016),
    (0.0, 0.0016),
    (-0.03, 0.001),
    (0.05, 0.001),
    (-16.0, 0.0016),
    (16.0, 0.0016),
    (0.01, 1e-5),
    (0.01, 50.0),
    (-400.0, 3.0),
    (0.0199, 0.0003),
]


def exactly(centre: float, deviation: float) -> tuple[mpmath.mpf, mpmath.mpf, mpmath.mpf, mpmath.mpf]:
    """The ends in deviations, the share between them, and the mean."""
    c, s = mpmath.mpf(centre), mpmath.mpf(deviation)
    low, high = -c / s, (mpmath.mpf(0.02) - c) / s
    share = between(low, high)
    density = [mpmath.exp(-end * end / 2) / mpmath.sqrt(2 * mpmath.pi) for end in (low, high)]
    return low, high, share, c + s * (density[0] - density[1]) / share


def between(low: mpmath.mpf, high: mpmath.mpf) -> mpmath.mpf:
    root = mpmath.sqrt(2)
    if low > 0:
        return (mpmath.erfc(low / root) - mpmath.erfc(high / root)) / 2
    return between(-high, -low) if high < 0 else (mpmath.erf(high / root) - mpmath.erf(low / root)) / 2


@pytest.mark.parametrize(("centre", "deviation"), CASES)
def test_a_truncated_normal_keeps_its_digits_in_any_tail(centre: float, deviation: float) -> None:
    found = Truncated(centre, deviation, 0.0, 0.02)
    with mpmath.workdps(200):
        low, _, share, mean = exactly(centre, deviation)
        assert found.log_share() == pytest.approx(float(mpmath.log(share)), rel=1e-11, abs=1e-11)
        assert found.mean() == pytest.approx(float(mean), rel=1e-10)
        for wanted in (0.025, 0.5, 0.975):
            at = (mpmath.mpf(found.quantile(wanted)) - mpmath.mpf(centre)) / mpmath.mpf(deviation)
            assert float(between(low, at) / share) == pytest.approx(wanted, abs=1e-9)


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6) | st.just(1e-100))
@settings(max_examples=50, deadline=None)
def test_nothing_over_or_underflows(centre: float, deviation: float) -> None:
    found = Truncated(centre, deviation, 0.0, 0.02)
    low, middle, high = (found.quantile(share) for share in (0.025, 0.5, 0.975))
    assert 0 <= low <= middle <= high <= 0.02
    assert 0 <= found.mean() <= 0.02
    assert found.log_share() <= 1e-12


@given(st.floats(-30, 30), st.floats(0.01, 30))
def test_a_density_is_the_textbook_s(distance: float, deviation: float) -> None:
    textbook = mpmath.npdf(mpmath.mpf(distance), 0, mpmath.mpf(deviation))
    assert log_density(distance, deviation) == pytest.approx(float(mpmath.log(textbook)), rel=1e-12, abs=1e-12)


def test_sums_of_very_small_and_of_no_numbers() -> None:
    assert log_sum([-2000.0, -2000.0]) == pytest.approx(-2000 + math.log(2))
    assert log_sum([]) == log_sum([-math.inf]) == -math.inf
