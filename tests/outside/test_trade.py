"""Check values of the trade: common practice, no source."""

from pathlib import Path

import pytest

from diagtree.measure.chain import CONDEMNED, degrees_per_tooth
from diagtree.measure.patterns import pattern
from diagtree.measure.units import convert
from diagtree.model.engine import Cam, Timing
from diagtree.model.library import Library
from diagtree.source.reader import read

pytestmark = pytest.mark.outside

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(name="demo", scope="module")
def _demo() -> Library:
    return read(str(ROOT / "trees")).library


@pytest.mark.parametrize(("teeth", "degrees"), [(18, 20.0), (24, 15.0)])
def test_one_tooth_of_a_crank_sprocket(teeth: int, degrees: float) -> None:
    """20 to 15 crank degrees for 18 to 24 teeth."""
    assert degrees_per_tooth(teeth) == degrees


def test_oil_pressure_by_rule_of_thumb() -> None:
    """10 psi is 69 kPa for each 1000 rpm."""
    assert convert(10.0, "psi", "kPa") == pytest.approx(69, abs=0.5)


def test_a_cooling_system_is_tested_at_about_one_bar() -> None:
    """15 psi."""
    assert convert(15.0, "psi", "bar") == pytest.approx(1.0, abs=0.05)


def test_chains_are_condemned_near_one_per_cent() -> None:
    assert 0.01 <= CONDEMNED <= 0.015


@pytest.mark.parametrize("offset", [-12.0, -8.0, 8.0, 12.0])
def test_offsets_at_which_a_correlation_code_sets_are_no_sound_drive(offset: float) -> None:
    """About 8 to 12 crank degrees off."""
    timing = Timing(8.0, 22, 44, {name: Cam(name, 1, 310.0) for name in ("intake-1", "exhaust-1")})
    assert pattern(timing, {"intake-1": offset, "exhaust-1": offset}, 2.0).shares["none"] < 0.001


def test_the_demo_s_camshafts_turn_at_half_crank_speed(demo: Library) -> None:
    engines = demo.engines.values()
    timed = [engine.timing for engine in engines if engine.timing]
    assert timed
    assert all(one.cam_teeth == 2 * one.crank_teeth for one in timed)


def test_a_start_up_noise_counts_after_eight_hours(demo: Library) -> None:
    """Overnight: every check of the demo that asks for the rattle of a cold start waits so long."""
    asked = [check for check in demo.checks.values() if check.needs == "cold" and "rattle" in check.ask.lower()]
    assert asked
    assert {check.wait for check in asked} == {8.0}
