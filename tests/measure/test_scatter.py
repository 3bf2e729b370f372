"""Means that scatter."""

import numpy as np
import pytest
from scipy.stats import f as fisher
from scipy.stats import norm
from scipy.stats import t as student

from diagtree.measure.scatter import COVERED, Mean, _surpasses, coverage_factor, freedom_of, pooled


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 7, 10, 25, 39, 40, 41, 100, 5000])
def test_the_factor_is_student_s(freedom: int) -> None:
    assert coverage_factor(freedom + 0.9) == pytest.approx(student.ppf(0.5 + COVERED / 2, freedom), rel=1e-6)


def test_with_endless_readings_the_factor_is_two() -> None:
    assert coverage_factor(float("inf")) == pytest.approx(norm.ppf(0.5 + COVERED / 2), rel=1e-12)


def test_freedom_of_a_sum_lies_between_the_least_and_the_sum() -> None:
    first, second = Mean(0.0, 1.0, 5), Mean(0.0, 1.0, 10)
    assert freedom_of(first, second) == pytest.approx(4 / (1 / 5 + 1 / 10))
    assert freedom_of(first, Mean(0.0, 0.0, 3)) == pytest.approx(5)
    assert freedom_of(Mean(0.0, 0.0, 3)) == float("inf")


def test_even_teeth_are_pooled_and_uneven_ones_are_not() -> None:
    rng = np.random.default_rng(2)
    tooth, cycle = np.repeat(np.arange(4), 20), np.tile(np.arange(20), 4)
    values = rng.normal(0.0, 0.1, 80)
    even = pooled(values, tooth, cycle)
    assert (even.freedom, even.uneven) == (76, False)
    assert even.deviation == pytest.approx(0.1 / np.sqrt(80), rel=0.2)
    uneven = pooled(values + np.array([-0.5, 0.2, 0.4, -0.1])[tooth], tooth, cycle)
    assert (uneven.freedom, uneven.uneven) == (3, True)
    assert uneven.deviation > 0.1
    wandering = pooled(values + np.linspace(-1, 1, 20)[cycle], tooth, cycle)
    assert (wandering.freedom, wandering.uneven) == (19, True)


@pytest.mark.parametrize(("groups", "freedom"), [(4, 40), (10, 100), (20, 60)])
def test_more_than_chance_is_once_in_a_thousand(groups: int, freedom: int) -> None:
    """Against scipy's F distribution."""
    means = np.array([-1.0, 1.0] * (groups // 2))
    between = float(np.var(means, ddof=1))
    edge = fisher.ppf(0.999, groups - 1, freedom)
    assert _surpasses(means, between / (edge * 1.05), freedom)
    assert not _surpasses(means, between / (edge * 0.95), freedom)
