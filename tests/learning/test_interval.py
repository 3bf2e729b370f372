"""The interval of a learned share against scipy."""

import pytest
from scipy.stats import beta

from diagtree.learning.interval import below, interval


@pytest.mark.parametrize(
    ("cars", "of"), [(0.01, 20), (0.5, 1), (3, 20), (19.99, 20), (400, 1000), (30_000, 100_000), (5, 1e7), (1e6, 1e7)]
)
def test_the_interval_holds_the_central_share(cars: float, of: float) -> None:
    low, high = interval(cars, of)
    exact = beta.ppf([0.025, 0.975], cars, of - cars)
    assert low == pytest.approx(exact[0], rel=1e-3, abs=1e-12)
    assert high == pytest.approx(exact[1], rel=1e-3)


@pytest.mark.parametrize(("alpha", "at"), [(0.3, 0.001), (2, 0.4), (50, 0.9), (1000, 0.05)])
def test_the_incomplete_beta_function_is_scipy_s(alpha: float, at: float) -> None:
    assert below(alpha, 30, at) == pytest.approx(beta.cdf(at, alpha, 30), rel=1e-10, abs=1e-290)
