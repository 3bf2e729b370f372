"""Roller chain: pitch diameters as tables print them, and a worked drive recomputed by independent code.

The 25.4 mm rows are of a published table of 145 sprockets (8 to 152 teeth), printed to the hundredth of a millimetre.
The unit-pitch rows are of ISO 606 and ASME B29.1 (from memory, recomputed). Inverted-tooth chain has its joint centres
on the pitch circle too (ASME B29.2M, 1.2).
"""

import math

import pytest
from scipy.stats import truncnorm

from diagtree.measure.chain import (
    CONDEMNED,
    MOST_ELONGATION,
    degrees_late,
    degrees_per_tooth,
    elongation_of,
    pitch_diameter,
    realign_turns,
)
from diagtree.measure.patterns import pattern, posterior
from diagtree.model.engine import Cam, Timing

pytestmark = pytest.mark.outside

PAIR = Timing(8.0, 22, 44, {"a": Cam("a", 1, 310.0), "b": Cam("b", 1, 310.0)}, 156)
ORDER = ("none", "stretched", "all-together", "one-cam", "mixed")


@pytest.mark.parametrize(
    ("teeth", "printed"),
    [
        (9, 74.26),
        (11, 90.16),
        (18, 146.27),
        (20, 162.37),
        (22, 178.48),
        (24, 194.60),
        (36, 291.43),
        (44, 356.05),
        (48, 388.36),
        (152, 1229.02),
    ],
)
def test_a_published_table_of_25_4_mm_pitch(teeth: int, printed: float) -> None:
    assert pitch_diameter(25.4, teeth) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize(("teeth", "printed"), [(9, 2.9238), (18, 5.7588), (22, 7.0267), (44, 14.0175)])
def test_unit_pitch_of_iso_606_and_asme_b29_1(teeth: int, printed: float) -> None:
    assert pitch_diameter(1.0, teeth) == pytest.approx(printed, abs=0.00005)


def test_the_worked_drive() -> None:
    """8 mm pitch, 22 and 44 teeth, span 310 mm; recomputed by independent code."""
    assert pitch_diameter(8.0, 22) == pytest.approx(56.213393, abs=5e-7)
    assert pitch_diameter(8.0, 44) == pytest.approx(112.140336, abs=5e-7)
    assert degrees_late(PAIR, "a") * 0.01 == pytest.approx(6.335523, abs=5e-7)
    assert elongation_of(PAIR, "a", -10.0, 2.0).estimate == pytest.approx(0.01578402, abs=5e-9)
    assert degrees_per_tooth(22) == pytest.approx(16.363636, abs=5e-7)


@pytest.mark.parametrize(("links", "turns"), [(154, 14), (156, 78), (157, 314)])
def test_turns_until_marked_links_meet_again(links: int, turns: int) -> None:
    """22 teeth; recomputed by independent code."""
    assert realign_turns(links, 22) == turns


@pytest.mark.parametrize(
    ("offsets", "mean", "low", "high"),
    [
        ((-6.0,), 0.009470410, 0.0063768, 0.0125640),
        ((1.0,), 0.000828874, 0.0000260887, 0.0026121),
        ((-4.0, -3.0), 0.005524408, 0.0033369, 0.0077119),
    ],
)
def test_elongation_is_a_truncated_normal(offsets: tuple[float, ...], mean: float, low: float, high: float) -> None:
    """U = 2, span 310 mm: the figures, and scipy's own truncated normal."""
    found = posterior(PAIR, dict(zip(PAIR.cams, offsets, strict=False)), 2.0)
    assert found.estimate == pytest.approx(mean, abs=5e-10)
    assert found.low == pytest.approx(low, abs=5e-8)
    assert found.high == pytest.approx(high, abs=5e-8)

    late = math.degrees(310.0 / (pitch_diameter(8.0, 44) / 2)) * 2
    centre = -sum(offsets) / len(offsets) / late
    deviation = 1.0 / (late * math.sqrt(len(offsets)))
    other = truncnorm((0.0 - centre) / deviation, (0.02 - centre) / deviation, centre, deviation)
    assert found.estimate == pytest.approx(other.mean(), rel=1e-9)
    assert (found.low, found.high) == pytest.approx(other.interval(0.95), rel=1e-9)


@pytest.mark.parametrize(
    ("offsets", "shares"),
    [
        ((-4.0, -3.0), (2.83734e-05, 0.829433, 0.135864, 0.00279852, 0.031876)),
        ((0.0, 0.0), (0.85879, 0.0600647, 0.0202194, 0.0571259, 0.00379996)),
        ((-16.4, -16.4), (1.1186e-116, 6.72619e-08, 0.990327, 1.0402e-59, 0.00967302)),
        ((7.0, 7.0), (2.12414e-20, 1.18554e-22, 0.855675, 5.53684e-11, 0.144325)),
        ((-16.4, 0.2), (1.89373e-57, 8.26307e-30, 1.20249e-30, 0.880504, 0.119496)),
    ],
)
def test_shares_of_the_patterns(offsets: tuple[float, float], shares: tuple[float, ...]) -> None:
    """One bank, two camshafts, U = 2: independent code, logs and closed-form normals, six digits."""
    found = pattern(PAIR, dict(zip(PAIR.cams, offsets, strict=True)), 2.0, ORDER)
    assert tuple(found.shares.values()) == pytest.approx(shares, rel=1e-5)


@pytest.mark.parametrize(("teeth", "per_cent"), [(22, 1.02), (44, 0.25)])
def test_chordal_drop(teeth: int, per_cent: float) -> None:
    """1 - cos(180 deg / N): how much nearer to the shaft the middle of a link lies than its joints; recomputed."""
    joint = pitch_diameter(8.0, teeth) / 2
    middle = math.sqrt(joint**2 - 4.0**2)
    assert 100 * (1 - middle / joint) == pytest.approx(per_cent, abs=0.005)


def test_a_timing_drive_is_condemned_before_a_chain_on_fixed_centres_is() -> None:
    """Chain-trade rule: 1.5 % on fixed centres; timing drives near 1 % (common practice, no source)."""
    assert CONDEMNED == 0.01
    assert CONDEMNED < 0.015 < MOST_ELONGATION
