"""The beta function and the cells of three-point hours, against scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from diagtree.estimate.pert import beta_cdf, cells, shape
from diagtree.model.quantity import Hours

GRIDS = (0.01, 0.02, 0.05)


def points() -> st.SearchStrategy[Hours]:
    """Hours that are not all equal, as they are written: in hundredths."""
    gaps = st.tuples(st.integers(0, 500), st.integers(0, 400), st.integers(0, 600)).filter(lambda one: one[1] + one[2])
    return gaps.map(lambda one: Hours(one[0] / 100, (one[0] + one[1]) / 100, sum(one) / 100))


@pytest.mark.parametrize("alpha", np.linspace(1, 5, 17))
def test_the_incomplete_beta_agrees_with_scipy(alpha: float) -> None:
    at = np.concatenate([np.linspace(0, 1, 501), np.logspace(-12, -1, 45), 1 - np.logspace(-12, -1, 45)])
    assert np.abs(beta_cdf(alpha, 6 - alpha, at) - stats.beta.cdf(at, alpha, 6 - alpha)).max() < 1e-14


@given(points(), st.sampled_from(GRIDS))
def test_cells_keep_the_mean_and_hold_everything(hours: Hours, grid: float) -> None:
    (chances,) = cells([hours], grid)
    places = np.arange(len(chances))
    mean = hours.optimistic + grid * float(places @ chances)
    assert chances.min() >= 0
    assert chances.sum() == pytest.approx(1, abs=1e-12)
    assert mean == pytest.approx(hours.mean, abs=1e-12)
    variance = grid**2 * float(places**2 @ chances - (places @ chances) ** 2)
    true = (hours.mean - hours.optimistic) * (hours.pessimistic - hours.mean) / 7
    assert true - 1e-9 <= variance + grid**2 / 4
    assert variance <= true + grid**2 / 4 + 1e-9


@given(points())
def test_the_distribution_is_beta_to_a_cell(hours: Hours) -> None:
    grid = 0.01
    (chances,) = cells([hours], grid)
    span = hours.pessimistic - hours.optimistic
    alpha, beta = shape(hours)
    reached = np.cumsum(chances)
    places = np.arange(len(chances))
    low, high = (stats.beta.cdf((places + aside) * grid / span, alpha, beta) for aside in (-1, 1))
    assert (low - 1e-9 <= reached).all()
    assert (reached <= high + 1e-9).all()


def test_a_span_far_below_a_cell_is_two_cells() -> None:
    hours = Hours(0.1, 0.1, 0.1000001)
    (chances,) = cells([hours], 0.05)
    assert len(chances) == 2
    assert 0.1 + 0.05 * chances[1] == pytest.approx(hours.mean, abs=1e-15)
