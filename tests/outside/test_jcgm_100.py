"""JCGM 100:2008 (the GUM): expanded uncertainty, and the factor for few readings."""

from statistics import NormalDist

import pytest

from diagtree.measure.bands import band_shares
from diagtree.measure.scatter import coverage_factor

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(("stated", "k", "standard"), [(240.0, 3.0, 80.0), (129.0, 2.58, 50.0)])
def test_a_stated_uncertainty_over_its_factor_is_the_standard_one(stated: float, k: float, standard: float) -> None:
    """Clauses 4.3.3 and 4.3.4 (from memory): 240 ug at k = 3, 129 uohm at 99 %. One deviation out holds 84 in 100."""
    below, _ = band_shares(0.0, 2 * stated / k, [standard])  # every U here is at k = 2
    assert below == pytest.approx(NormalDist().cdf(1.0), abs=1e-12)


@pytest.mark.parametrize(
    ("freedom", "printed"),
    [(1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (6, 2.52), (8, 2.37), (10, 2.28), (20, 2.13), (50, 2.05)],
)
def test_table_g_2_for_95_45_in_a_hundred(freedom: int, printed: float) -> None:
    """Annex G (from memory), printed to two decimals."""
    assert coverage_factor(freedom) == pytest.approx(printed, abs=0.005)
