"""The geometry of a chain drive."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.measure import chain
from tests.measure.drives import PAIR, VEE


@given(st.floats(1, 60), st.integers(3, 200))
def test_the_joints_stand_a_pitch_apart_on_the_pitch_circle(pitch: float, teeth: int) -> None:
    radius = chain.pitch_diameter(pitch, teeth) / 2
    turn = 2 * math.pi / teeth
    apart = math.dist((radius, 0.0), (radius * math.cos(turn), radius * math.sin(turn)))
    assert apart == pytest.approx(pitch, rel=1e-9)


@pytest.mark.parametrize(("pitch", "teeth"), [(0.0, 20), (-8.0, 20), (math.nan, 20), (math.inf, 20), (8.0, 2)])
def test_what_is_no_sprocket_is_our_bug(pitch: float, teeth: int) -> None:
    with pytest.raises(ValueError, match="no sprocket"):
        chain.pitch_diameter(pitch, teeth)


@given(st.integers(1, 400), st.integers(3, 60))
def test_marks_meet_again_when_chain_and_camshafts_both_come_round(links: int, teeth: int) -> None:
    """Turned by hand: the chain moves on a tooth at a time, the camshaft half as far as the crank."""
    turns = chain.realign_turns(links, teeth)
    together = next(
        turn for turn in range(1, 2 * links + 1) if (turn * teeth) % links == 0 and Fraction(turn, 2).denominator == 1
    )
    assert turns == together


@pytest.mark.parametrize("cam", VEE.cams)
def test_elongation_and_offset_are_each_other_s_inverse(cam: str) -> None:
    late = chain.offset_of(VEE, cam, 0.01)
    assert late < 0
    assert chain.elongation_of(VEE, cam, late, 0.0).estimate == pytest.approx(0.01)


def test_the_uncertainty_of_an_elongation_is_the_offset_s_in_its_scale() -> None:
    found = chain.elongation_of(PAIR, "intake-1", -6.335522872401235, 2.0)
    assert found.estimate == pytest.approx(0.01)
    assert found.uncertainty == pytest.approx(0.01 * 2 / 6.335522872401235)


def test_no_elongation_and_no_offset_have_no_sign() -> None:
    assert math.copysign(1, chain.offset_of(PAIR, "intake-1", 0.0)) == 1
    assert math.copysign(1, chain.elongation_of(PAIR, "intake-1", 0.0, 2.0).estimate) == 1


def test_a_tooth_is_a_tooth() -> None:
    assert chain.teeth_off(PAIR, chain.degrees_per_tooth(22)) == 1
    assert chain.degrees_per_tooth(20) == 18
