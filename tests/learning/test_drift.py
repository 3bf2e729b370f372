"""Rows that differ between groups of jobs."""

from pathlib import Path

import pytest
from scipy.stats import chi2

from diagtree.learning.cases import Shown
from diagtree.learning.drift import above, drifts
from diagtree.model.library import Library
from diagtree.source.reader import read


@pytest.fixture(scope="module")
def library() -> Library:
    return read(str(Path(__file__).resolve().parents[1] / "foreign" / "pump")).library


def shown(library: Library, **counts: tuple[int, ...]) -> list[Shown]:
    """Answers to the first check with the first fault, by build."""
    check = next(iter(library.checks.values()))
    fault = next(iter(library.faults))
    return [
        Shown("noisy-pump", fault, check.id, answer.id, many, build)
        for build, row in counts.items()
        for answer, many in zip(check.answers, row, strict=False)
    ]


@pytest.mark.parametrize("freedom", [1, 2, 3, 6, 9])
@pytest.mark.parametrize("statistic", [0.0, 0.3, 4.0, 40.0, 300.0])
def test_the_tail_is_scipy_s(statistic: float, freedom: int) -> None:
    assert above(statistic, freedom) == pytest.approx(chi2.sf(statistic, freedom), rel=1e-9, abs=1e-300)


def test_builds_that_differ_are_told_with_their_shares(library: Library) -> None:
    (found,) = drifts(library, shown(library, early=(80, 20), late=(20, 80)))
    assert (found.by, found.cars) == ("build", {"early": 100, "late": 100})
    assert found.shares["early"][:2] == pytest.approx((0.8, 0.2))
    assert found.chance < 1e-9


def test_builds_that_are_alike_and_small_groups_are_not(library: Library) -> None:
    assert not drifts(library, shown(library, early=(80, 20), late=(74, 26)))
    assert not drifts(library, shown(library, early=(80, 20), late=(2, 8)))
    assert not drifts(library, [])
