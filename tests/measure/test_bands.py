"""Bands of a reading and the weight that its uncertainty gives them."""

import math
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.special import ndtr

from diagtree.measure.bands import band_of, band_shares, clear, clear_spans, combine, guard_band, weigh
from diagtree.model.check import Band

BANDS = (Band(start=100.0), Band(end=50.0), Band(50.0, 100.0))  # in no order, as answers may stand
any_finite = st.floats(allow_nan=False, allow_infinity=False)
not_negative = st.floats(0, 1.7e308)
inner_limits = st.lists(any_finite, max_size=5, unique=True).map(sorted)


@pytest.mark.parametrize(
    ("value", "place"),
    [(49.999, 1), (50.0, 2), (99.999, 2), (100.0, 0), (-1e308, 1), (1e308, 0)],
)
def test_a_limit_belongs_to_the_band_that_starts_there(value: float, place: int) -> None:
    assert band_of(value, BANDS) == place


def test_a_value_in_no_band_is_our_bug() -> None:
    with pytest.raises(ValueError, match="no band holds"):
        band_of(math.nan, BANDS)


@given(any_finite, not_negative, inner_limits)
def test_shares_are_probabilities_that_sum_to_one(reading: float, uncertainty: float, limits: list[float]) -> None:
    shares = band_shares(reading, uncertainty, limits)
    assert len(shares) == len(limits) + 1
    assert all(0 <= share <= 1 for share in shares)
    assert math.fsum(shares) == pytest.approx(1, abs=1e-14)


@given(st.floats(-1e3, 1e3), st.floats(0, 1e3), st.floats(1e-3, 1e3), st.floats(-1e3, 1e3))
def test_a_higher_reading_never_weighs_more_below_a_limit(
    reading: float, rise: float, uncertainty: float, limit: float
) -> None:
    low, _ = band_shares(reading, uncertainty, [limit])
    lower, _ = band_shares(reading + rise, uncertainty, [limit])
    assert lower <= low


@given(st.floats(-100, 100), st.floats(0.1, 100), st.floats(-100, 100))
def test_mirrored_readings_have_mirrored_shares(reading: float, uncertainty: float, limit: float) -> None:
    assert band_shares(reading, uncertainty, [limit]) == band_shares(-reading, uncertainty, [-limit])[::-1]


@pytest.mark.parametrize("z", [3.0, 8.0, 15.0, 30.0, 37.0])
def test_far_tails_keep_their_relative_accuracy_on_both_sides(z: float) -> None:
    """Against scipy's normal distribution: what is 1e-50 must not come out as 0 or as rounding."""
    below, _, above = band_shares(0.0, 2.0, [-z, z])
    assert below == above == pytest.approx(ndtr(-z), rel=1e-11, abs=0)
    _, band, _ = band_shares(0.0, 2.0, [z, z + 0.5])
    assert band == pytest.approx(ndtr(-z) - ndtr(-z - 0.5), rel=1e-11, abs=0)


def test_a_narrow_band_around_the_reading_keeps_its_relative_accuracy() -> None:
    _, band, _ = band_shares(0.0, 2.0, [-1e-12, 1e-12])
    assert band == pytest.approx(2e-12 / math.sqrt(2 * math.pi), rel=1e-12, abs=0)


@pytest.mark.parametrize(("reading", "shares"), [(9.0, (1.0, 0.0)), (10.0, (0.0, 1.0)), (11.0, (0.0, 1.0))])
def test_without_uncertainty_all_weight_is_on_the_band_of_the_reading(
    reading: float, shares: tuple[float, ...]
) -> None:
    assert band_shares(reading, 0.0, [10.0]) == shares


@pytest.mark.parametrize("uncertainty", [5e-324, 1e-300, 1e308])
@pytest.mark.parametrize("reading", [-1e308, 0.0, 1e308])
def test_extreme_numbers_give_no_nan(reading: float, uncertainty: float) -> None:
    shares = band_shares(reading, uncertainty, [-1e308, 0.0, 1e308])
    assert math.fsum(shares) == pytest.approx(1)


@pytest.mark.parametrize(
    ("reading", "uncertainty", "limits"),
    [
        (math.nan, 1.0, [0.0]),
        (0.0, -1.0, [0.0]),
        (0.0, math.inf, [0.0]),
        (0.0, 1.0, [1.0, 1.0]),
        (0.0, 1.0, [math.nan]),
    ],
)
def test_arguments_out_of_range_are_our_bug(reading: float, uncertainty: float, limits: list[float]) -> None:
    with pytest.raises(ValueError, match="finite"):
        band_shares(reading, uncertainty, limits)


@given(st.floats(-200, 200), st.floats(0, 50), st.permutations(BANDS))
def test_weights_follow_the_bands_in_whatever_order_they_stand(
    reading: float, uncertainty: float, bands: list[Band]
) -> None:
    shares = dict(zip(bands, weigh(reading, uncertainty, bands), strict=True))
    ascending = sorted(bands, key=lambda band: -math.inf if band.start is None else band.start)
    assert tuple(shares[band] for band in ascending) == band_shares(reading, uncertainty, [50.0, 100.0])


@given(st.floats(-1e3, 1e3))
def test_without_uncertainty_weight_and_simple_acceptance_agree(reading: float) -> None:
    assert weigh(reading, 0.0, BANDS)[band_of(reading, BANDS)] == 1.0


@given(st.floats(0.01, 1e6), st.floats(-1e6, 1e6))
def test_a_reading_is_clear_from_the_guard_band_on(uncertainty: float, limit: float) -> None:
    distance = guard_band(uncertainty)
    assert clear(band_shares(limit + 1.001 * distance, uncertainty, [limit]))
    assert not clear(band_shares(limit + 0.999 * distance, uncertainty, [limit]))


def test_a_share_of_exactly_95_in_100_is_clear() -> None:
    assert clear((0.95, 0.05))
    assert not clear((0.9499, 0.0501))


@given(st.lists(any_finite, min_size=1, max_size=20), st.floats(0, 1e308))
def test_repeats_combine_to_their_exact_mean_without_overflow(values: list[float], uncertainty: float) -> None:
    mean, combined = combine(values, uncertainty)
    assert mean == float(sum(map(Fraction, values), Fraction()) / len(values))
    assert combined == pytest.approx(uncertainty / math.sqrt(len(values)))


def test_four_repeats_halve_the_uncertainty() -> None:
    assert combine([94.0, 95.0, 96.0, 95.0], 10.0) == (95.0, 5.0)


@pytest.mark.parametrize("values", [[], [1.0, math.nan]])
def test_nothing_to_combine_is_our_bug(values: list[float]) -> None:
    with pytest.raises(ValueError, match="no finite values"):
        combine(values, 1.0)


@given(st.floats(0.01, 100), st.lists(st.floats(-500, 500), min_size=1, max_size=4, unique=True).map(sorted))
def test_a_reading_named_clear_is_clear_and_one_beside_it_is_not(uncertainty: float, limits: list[float]) -> None:
    assume(all(high - low > 1e-3 for low, high in pairwise(limits)))
    for place, span in enumerate(clear_spans(uncertainty, limits)):
        for end, outwards in zip(span or (), (-1, 1), strict=False):
            if math.isfinite(end):
                inside, outside = end - outwards * 1e-7 * uncertainty, end + outwards * 1e-4 * uncertainty
                assert band_shares(inside, uncertainty, limits)[place] >= 0.95 - 1e-9
                assert band_shares(outside, uncertainty, limits)[place] < 0.95


def test_a_narrow_band_has_no_clear_reading() -> None:
    """1.9 U would do: 0.975 of a normal distribution on each side of its middle is 1.96 deviations, or 0.98 U."""
    assert clear_spans(10.0, [100.0, 119.0])[1] is None
    assert clear_spans(10.0, [100.0, 120.0])[1] is not None
