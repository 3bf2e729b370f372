"""Tightening values that the trade knows in two units: common practice, no source."""

import pytest

from diagtree.measure.torque import TorqueStep, ends_in_angle, parse_step, show

pytestmark = pytest.mark.outside


def step(text: str) -> TorqueStep:
    """A step that must parse."""
    found = parse_step(text)
    assert isinstance(found, TorqueStep)
    return found


@pytest.mark.parametrize(
    ("book", "shown"),
    [
        ("89 lbf in", "10 N m (89 lbf in)"),  # small cover, guide and tensioner bolts
        ("30 lbf ft", "41 N m (30 lbf ft)"),  # seating torque of a yield-tightened bolt
        ("18 lbf ft", "24 N m (18 lbf ft)"),  # its second, lower torque
    ],
)
def test_a_shop_with_metric_wrenches_reads_the_metric_figure_first(book: str, shown: str) -> None:
    assert show(step(book), ["N m", "kPa", "mm"]) == shown


def test_ten_newton_metres_are_eighty_nine_pound_force_inches() -> None:
    assert show(step("10 N m"), ["lbf in"]) == "89 lbf in (10 N m)"


def test_a_yield_tightened_bolt_ends_in_an_angle() -> None:
    assert ends_in_angle([step(text) for text in ("30 lbf ft", "-360 deg", "18 lbf ft", "180 deg")])
