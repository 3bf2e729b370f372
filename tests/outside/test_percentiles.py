"""'The least value whose cumulative probability reaches p': type 1 of Hyndman and Fan, The American Statistician 50
(1996), 361; the same as `numpy.quantile(x, p, weights=w, method="inverted_cdf")`.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.estimate.law import law

pytestmark = pytest.mark.outside


def test_one_to_ten() -> None:
    found = law(np.arange(1.0, 11.0), np.full(10, 0.1))
    assert [found.percentile(reach) for reach in (0.10, 0.25, 0.50, 0.80, 0.95)] == [1, 3, 5, 8, 10]


def test_two_five_nine() -> None:
    found = law(np.array([9.0, 2.0, 5.0]), np.array([0.2, 0.5, 0.3]))
    assert (found.percentile(0.5), found.percentile(0.8)) == (2, 5)


def test_eight_tenths_in_floats_are_eight_tenths() -> None:
    """Eight times .1 sums below .8: without a tolerance P80 would jump to 9."""
    assert sum([0.1] * 8) < 0.8
    assert law(np.arange(1.0, 11.0), np.array([0.1] * 10)).percentile(0.8) == 8


@given(
    st.lists(st.tuples(st.integers(0, 50), st.integers(1, 1000)), min_size=1, max_size=30),
    st.sampled_from([0.1, 0.5, 0.8, 0.95]),
)
def test_any_weights_agree_with_numpy(pairs: list[tuple[int, int]], reach: float) -> None:
    """Save where a sum meets p to the last bits, which numpy decides by rounding."""
    values, weights = np.array(pairs, dtype=float).T
    found = law(values, weights)
    if np.abs(found.cumulative - reach).min() > 1e-8:
        want = np.quantile(values, reach, weights=weights, method="inverted_cdf")
        assert found.percentile(reach) == want
    assert found.within(found.percentile(reach)) >= reach - 1e-9
