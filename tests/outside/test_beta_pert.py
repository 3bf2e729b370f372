"""Three-point hours: alpha = 1 + 4(m - a)/(b - a), beta = 1 + 4(b - m)/(b - a), mean (a + 4m + b)/6.

The sum is the critical path of a textbook exercise (B. Taylor, Introduction to Management Science, project
management, from memory; its inputs and the printed .9633 were seen). The book takes (b - a)^2/36 as variance and a
normal sum, so only its mean is expected here. The other figures were computed apart from the program (convolution on a
grid of .005 h with scipy's beta, and 4,000,000 draws).
"""

from fractions import Fraction

import numpy as np
import pytest
from scipy import stats

from diagtree.estimate.law import Floats, Law, law
from diagtree.estimate.mixture import Sum, mixture
from diagtree.estimate.pert import shape
from diagtree.model.quantity import Hours

pytestmark = pytest.mark.outside

CRITICAL = (Hours(5, 8, 17), Hours(3, 5, 7), Hours(4, 6, 8), Hours(3, 4, 5))


def total(*hours: Hours, grid: Fraction = Fraction(1, 20)) -> Law:
    points = {f"v{at}": one for at, one in enumerate(hours)}
    found = mixture([Sum(1.0, Fraction(0), tuple(points), 0.0)], points, grid)
    return law(found.hours, found.chances, found.mean_hours)


def test_the_shape_of_ten_thirty_ninety() -> None:
    assert shape(Hours(10, 30, 90)) == pytest.approx((2, 4))
    mean, variance = stats.beta(2, 4, 10, 80).stats("mv")
    assert Hours(10, 30, 90).mean == pytest.approx(36.666667, abs=5e-7)
    assert (float(mean), float(variance)) == pytest.approx((36.666667, 203.174603), abs=5e-7)


def test_the_percentiles_of_ten_thirty_ninety() -> None:
    found = total(Hours(10, 30, 90))
    assert found.mean == pytest.approx(36.666667, abs=5e-7)
    got = [found.percentile(reach) for reach in (0.1, 0.5, 0.8, 0.95)]
    assert got == pytest.approx([18.97880, 35.10481, 49.21539, 62.59267], abs=0.05)


@pytest.mark.parametrize("grid", [Fraction(1, 20), Fraction(1, 100)])
def test_the_critical_path_sums_to_the_mean_that_the_book_prints(grid: Fraction) -> None:
    found = total(*CRITICAL, grid=grid)
    assert found.mean == pytest.approx(24, abs=1e-12)
    mean = float(found.values @ _chances(found))
    assert mean == pytest.approx(24, abs=1e-9)
    variance = float((found.values - mean) ** 2 @ _chances(found))
    assert variance == pytest.approx(5.857143, abs=4 * float(grid) ** 2)  # a quarter of a cell squared for each
    got = [found.percentile(reach) for reach in (0.1, 0.5, 0.8, 0.95)]
    assert got == pytest.approx([20.98, 23.82, 26.09, 28.27], abs=float(grid) + 0.005)
    assert found.within(28) == pytest.approx(0.93856, abs=0.0015)


def test_equal_points_are_a_plain_number() -> None:
    found = mixture([Sum(1.0, Fraction(3), (), 0.0)], {})
    assert (found.hours.tolist(), found.chances.tolist(), found.grid) == ([3.0], [1.0], 0.0)


def _chances(found: Law) -> Floats:
    return np.asarray(np.diff(found.cumulative, prepend=0.0), dtype=np.float64)
