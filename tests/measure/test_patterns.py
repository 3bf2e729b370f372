"""What pattern the camshafts' offsets make."""

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from diagtree.measure.drive import weigh
from diagtree.measure.patterns import (
    Pattern,
    banks,
    log_likelihoods,
    measure_again,
    offered,
    pattern,
    posterior,
)
from diagtree.model.check import OFFSET_ANSWERS
from diagtree.model.engine import Timing
from tests.measure.drives import PAIR, VEE, drive, drives

# The contract a second time, slowly: densities multiplied, every unknown integrated by quadrature.


def density(x: float, mean: float, deviation: float) -> float:
    """Of the normal law; SciPy's own takes most of the time of these tests."""
    return math.exp(-(((x - mean) / deviation) ** 2) / 2) / (deviation * math.sqrt(2 * math.pi))


def test_the_density_is_that_of_scipy() -> None:
    places = np.linspace(-40, 40, 401)
    for mean, deviation in ((0.0, 15.0), (-7.5, 0.5), (12.0, 4.0)):
        ours = [density(float(x), mean, deviation) for x in places]
        assert ours == pytest.approx(norm.pdf(places, mean, deviation).tolist(), rel=1e-12, abs=1e-300)


def slow(timing: Timing, offsets: Mapping[str, float], uncertainty: float) -> dict[str, float]:
    """Marginal likelihood by pattern. Only for offsets that keep it above the smallest double."""
    u = uncertainty / 2
    ys = [offsets[cam] for cam in timing.cams]
    tooth = 360 / timing.crank_teeth
    diameter = timing.pitch / math.sin(math.radians(180 / timing.cam_teeth))
    lates = [2 * (180 / math.pi) * cam.span / (diameter / 2) for cam in timing.cams.values()]
    of_bank: dict[int, list[int]] = {}
    for at, cam in enumerate(timing.cams.values()):
        of_bank.setdefault(cam.bank, []).append(at)

    def still(chosen: list[int]) -> float:
        return math.prod(density(ys[at], 0, u) for at in chosen)

    def integral(of: Callable[[float], float], low: float, high: float, near: list[float], width: float) -> float:
        """Piecewise, so that no narrow peak lies between two points of the rule."""
        cuts = sorted({low, high, *(x + k * width for x in near for k in (-12, -6, -3, 0, 3, 6, 12))})
        cuts = [cut for cut in cuts if low <= cut <= high]
        pieces = pairwise(cuts)
        return math.fsum(quad(of, a, b, epsabs=0, epsrel=1e-10, limit=200)[0] for a, b in pieces)

    def together(chosen: list[int]) -> float:
        moved = [ys[at] for at in chosen]
        jumped = sum(math.prod(density(y, k * tooth, u) for y in moved) for k in (-2, -1, 1, 2)) / 4

        def shifted(s: float) -> float:
            return density(s, 0, 15) * math.prod(density(y, s, u) for y in moved)

        reach = 40 * 15.0
        middle = float(np.mean(moved))
        return 0.5 * jumped + 0.5 * integral(shifted, -reach, reach, [middle, 0.0], u / math.sqrt(len(moved)))

    def stretched(e: float) -> float:
        return math.prod(density(y, -late * e, u) for y, late in zip(ys, lates, strict=True)) / 0.02

    everyone = list(range(len(ys)))
    wide = math.sqrt(u**2 + 15**2)
    best = [-y / late for y, late in zip(ys, lates, strict=True)]
    best.append(-sum(y * g for y, g in zip(ys, lates, strict=True)) / sum(g * g for g in lates))
    found = {
        "none": still(everyone),
        "stretched": integral(stretched, 0, 0.02, best, u / max(lates)),
        "all-together": together(everyone),
        "one-bank": sum(together(bank) * still([at for at in everyone if at not in bank]) for bank in of_bank.values())
        / len(of_bank),
        "one-cam": sum(density(ys[at], 0, wide) * still([a for a in everyone if a != at]) for at in everyone) / len(ys),
        "mixed": math.prod(density(y, 0, wide) for y in ys),
    }
    if len(of_bank) == 1:
        del found["one-bank"]
    return found


@pytest.mark.parametrize("seed", range(60))
def test_likelihoods_agree_with_quadrature(seed: int) -> None:
    draw = np.random.default_rng(seed)
    many = int(draw.integers(1, 5))
    cams = [(f"cam-{at}", int(draw.integers(1, 3)), float(draw.uniform(150, 700))) for at in range(many)]
    timing = drive(*cams, crank_teeth=int(draw.integers(17, 28)))
    uncertainty = float(draw.uniform(1, 8))
    spread = float(draw.choice([1.0, 6.0, 15.0]))
    common = float(draw.normal(0, spread))
    offsets = {cam: common + float(draw.normal(0, uncertainty)) for cam in timing.cams}
    expected = slow(timing, offsets, uncertainty)
    logs = log_likelihoods(timing, offsets, uncertainty)
    assert list(logs) == list(expected)
    for name, likelihood in expected.items():
        if likelihood > 1e-250:
            assert math.exp(logs[name]) == pytest.approx(likelihood, rel=1e-6), name


def test_one_camshaft_left_out_is_one_that_was_integrated_out() -> None:
    """The other reading is summed over all that it could have been."""
    rest = {"exhaust-1": -3.0, "intake-2": -1.0, "exhaust-2": 0.5}
    fewer = log_likelihoods(VEE, rest, 2.0)
    grid = np.linspace(-150, 150, 1201)  # four points an uncertainty: for sums of bells, more change no digit
    every = [log_likelihoods(VEE, {"intake-1": float(y), **rest}, 2.0) for y in grid]
    for name, log in fewer.items():
        whole = np.trapezoid([math.exp(one[name]) for one in every], grid)
        assert whole == pytest.approx(math.exp(log), rel=1e-6), name


# Laws


@st.composite
def readings(draw: st.DrawFn) -> tuple[Timing, dict[str, float], float]:
    timing = draw(drives())
    offsets = {cam: draw(st.floats(-1e6, 1e6) | st.floats(-30, 30)) for cam in timing.cams}
    return timing, offsets, draw(st.floats(1e-9, 1e6) | st.floats(0.5, 10) | st.just(5e-324))


@given(readings())
@settings(max_examples=80, deadline=None)
def test_shares_sum_to_one_and_nothing_is_nan(read: tuple[Timing, dict[str, float], float]) -> None:
    timing, offsets, uncertainty = read
    found = weigh(timing, offsets, uncertainty)
    assert found.pattern is not None
    assert found.elongation is not None
    shares = found.pattern.shares
    assert all(0 <= share <= 1 for share in shares.values())
    assert math.fsum(shares.values()) == pytest.approx(1, abs=1e-12)
    assert ("one-bank" in shares) == (len(banks(timing)) == 2)
    spoken = found.elongation
    assert 0 <= spoken.low <= spoken.high <= 0.02
    assert 0 <= spoken.estimate <= 0.02


@given(readings(), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_names_and_order_of_camshafts_change_nothing(
    read: tuple[Timing, dict[str, float], float], random: Random
) -> None:
    timing, offsets, uncertainty = read
    order = list(timing.cams)
    random.shuffle(order)
    renamed = {name: f"other-{at}" for at, name in enumerate(order)}
    cams = {renamed[name]: replace(timing.cams[name], id=renamed[name]) for name in order}
    again = pattern(replace(timing, cams=cams), {renamed[cam]: y for cam, y in offsets.items()}, uncertainty)
    before = pattern(timing, offsets, uncertainty)
    # Where an offset is a million times its uncertainty, the exponents themselves are known to fewer digits.
    size = max(abs(y) / uncertainty for y in offsets.values())
    if size < 1e4:
        assert list(again.shares.values()) == pytest.approx(list(before.shares.values()), abs=1e-6)


def test_equal_offsets_of_alike_camshafts_swap_freely() -> None:
    assert pattern(PAIR, {"intake-1": -4, "exhaust-1": -3}, 2.0) == pattern(
        PAIR, {"intake-1": -3, "exhaust-1": -4}, 2.0
    )


# What is told


@pytest.mark.parametrize(
    ("offsets", "name"),
    [
        ((-6.3, -8.1, -6.7, -8.4), "stretched"),
        ((-16.4, -16.2, -16.5, -16.3), "all-together"),
        ((9.0, 9.2, 8.9, 9.1), "all-together"),
        ((-16.4, -16.2, 0.1, -0.2), "one-bank"),
        ((0.2, 0.1, 12.0, -0.3), "one-cam"),
        ((20.0, -9.0, 5.0, -14.0), "mixed"),
    ],
)
def test_a_tidy_pattern_is_clear(offsets: tuple[float, ...], name: str) -> None:
    found = pattern(VEE, dict(zip(VEE.cams, offsets, strict=True)), 2.0)
    assert found.likeliest == name
    assert found.clear


def test_no_offset_is_likeliest_but_hardly_clear() -> None:
    """A camshaft that is off by little looks the same: one-cam keeps a share of the weight."""
    found = pattern(VEE, dict.fromkeys(VEE.cams, 0.0), 2.0)
    assert (found.likeliest, found.rival) == ("none", "one-cam")
    assert not found.clear


def test_only_listed_patterns_share_the_weight() -> None:
    offsets = {"intake-1": -4.0, "exhaust-1": -3.0}
    whole = pattern(PAIR, offsets, 2.0).shares
    two = pattern(PAIR, offsets, 2.0, ["stretched", "mixed"]).shares
    assert list(two) == ["stretched", "mixed"]
    assert two["mixed"] / two["stretched"] == pytest.approx(whole["mixed"] / whole["stretched"])


def test_an_engine_with_one_bank_has_no_bank_that_is_off_alone() -> None:
    assert "one-bank" not in offered(PAIR)
    assert offered(VEE) == OFFSET_ANSWERS
    assert pattern(PAIR, {"intake-1": -16.4, "exhaust-1": -16.4}, 2.0).shares["one-bank"] == 0


@pytest.mark.parametrize(("share", "clear"), [(0.95, True), (0.9499, False)])
def test_a_pattern_is_clear_from_95_per_cent(share: float, clear: bool) -> None:
    assert Pattern({"none": share, "mixed": 1 - share}).clear is clear


@pytest.mark.parametrize(
    ("given", "odd"),
    [
        ((-6.3, -8.1, -6.7, -3.0), "exhaust-2"),
        ((-6.3, -8.1, -12.0, -8.4), "intake-2"),
        ((0.2, 0.1, 4.0, -0.3), "intake-2"),
    ],
)
def test_the_camshaft_to_measure_again_is_the_odd_one(given: tuple[float, ...], odd: str) -> None:
    offsets = dict(zip(VEE.cams, given, strict=True))
    found = measure_again(VEE, offsets, 4.0)
    assert found is not None
    assert found.cam == odd
    rest = {cam: y for cam, y in offsets.items() if cam != odd}
    assert found.without == pattern(VEE, rest, 4.0)
    whole = pattern(VEE, offsets, 4.0).shares
    moved = sum(abs(whole[name] - share) for name, share in found.without.shares.items()) / 2
    assert found.moved == pytest.approx(moved)


def test_a_clear_pattern_asks_for_nothing_again() -> None:
    assert weigh(PAIR, {"intake-1": -16.4, "exhaust-1": -16.4}, 2.0).again is None
    assert weigh(PAIR, {"intake-1": -4.0, "exhaust-1": -3.0}, 2.0).again is not None


def test_offsets_that_want_more_than_two_per_cent_stand_against_the_end() -> None:
    assert posterior(PAIR, {"intake-1": -14.0, "exhaust-1": -14.0}, 2.0).against_end
    assert not posterior(PAIR, {"intake-1": -12.0, "exhaust-1": -12.0}, 2.0).against_end


@pytest.mark.parametrize(
    ("offset", "uncertainty"), [(math.nan, 2.0), (math.inf, 2.0), (0.0, 0.0), (0.0, -1.0), (0.0, math.nan)]
)
def test_what_cannot_be_weighed_is_our_bug(offset: float, uncertainty: float) -> None:
    with pytest.raises(ValueError, match="no finite offsets"):
        pattern(PAIR, {"intake-1": offset, "exhaust-1": 0.0}, uncertainty)


@pytest.mark.parametrize("uncertainty", [1e-6, 2.0, 1e6])
@pytest.mark.parametrize("huge", [1e6, 1e150, 1e308])
@pytest.mark.parametrize("signs", [(1, 1), (1, -1), (-1, -1), (1, 0)])
def test_huge_offsets_give_numbers_and_no_nan(huge: float, signs: tuple[int, int], uncertainty: float) -> None:
    offsets = {cam: sign * huge for cam, sign in zip(PAIR.cams, signs, strict=True)}
    found = pattern(PAIR, offsets, uncertainty)
    assert math.fsum(found.shares.values()) == pytest.approx(1)
    assert all(0 <= share <= 1 for share in found.shares.values())
    fitted = posterior(PAIR, offsets, uncertainty)
    assert 0 <= fitted.low <= fitted.estimate <= fitted.high <= 0.02
    assert measure_again(PAIR, offsets, uncertainty) is not None
