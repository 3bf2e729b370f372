"""Readings as people are shown them."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.measure.bands import band_of, band_shares
from diagtree.measure.showing import clear_of, limit, reading, shop_unit
from diagtree.model.check import Band

METRIC = ("N m", "kPa", "mm")
IMPERIAL = ("lbf ft", "psi", "in")
TWO = (Band(None, 100.0), Band(100.0, None))
THREE = (Band(None, 8.0), Band(8.0, 14.0), Band(14.0, None))


@pytest.mark.parametrize(
    ("unit", "shop", "shown"),
    [
        ("psi", METRIC, "kPa"),
        ("PSI", METRIC, "kPa"),
        ("kPa", METRIC, None),
        ("kPa", (), None),
        ("notches", METRIC, None),
        ("", METRIC, None),
        ("%", METRIC, None),
        ("lbf in", IMPERIAL, "lbf ft"),
        ("lbf in", ("lbf in", "lbf ft"), None),
        ("inHg", METRIC, "kPa"),  # in no table: the units library knows it
    ],
)
def test_the_shop_s_unit(unit: str, shop: tuple[str, ...], shown: str | None) -> None:
    assert shop_unit(unit, shop) == shown


@pytest.mark.parametrize(
    ("value", "unit", "shop", "shown"),
    [
        (100.0, "kPa", METRIC, "100 kPa"),
        (15.0, "psi", METRIC, "103 kPa (15 psi)"),
        (0.7, "bar", METRIC, "70 kPa (0.7 bar)"),
        (100.0, "kPa", IMPERIAL, "14.5 psi (100 kPa)"),
        (0.35, "mm", IMPERIAL, "0.0138 in (0.35 mm)"),
        (12.0, "notches", METRIC, "12 notches"),
        (3.0, "", METRIC, "3"),
    ],
)
def test_limits(value: float, unit: str, shop: tuple[str, ...], shown: str) -> None:
    assert limit(value, unit, shop) == shown


@pytest.mark.parametrize(
    ("value", "uncertainty", "shop", "shown"),
    [
        (95.0, 10.0, METRIC, "95 kPa"),
        (96.5266, 10.0, METRIC, "97 kPa"),  # 14 psi
        (96.5266, 1.0, METRIC, "96.5 kPa"),
        (99.7, 10.0, METRIC, "99.7 kPa"),  # not 100, which is in the other band
        (99.96, 10.0, METRIC, "99.96 kPa"),
        (96.5266, 0.0, METRIC, "96.527 kPa"),
        (96.5266, 10.0, IMPERIAL, "14.0 psi (97 kPa)"),
        (123456.0, 10.0, METRIC, "123456 kPa"),
    ],
)
def test_readings_are_no_more_precise_than_their_gauge(
    value: float, uncertainty: float, shop: tuple[str, ...], shown: str
) -> None:
    assert reading(value, uncertainty, "kPa", TWO, shop) == shown


@given(st.floats(-1e4, 1e4), st.floats(1e-3, 1e3))
def test_rounding_never_carries_a_reading_across_a_limit(value: float, uncertainty: float) -> None:
    shown = float(reading(value, uncertainty, "kPa", TWO, ()).partition(" ")[0])
    near = abs(value - 100.0) < 1e-8
    assert near or band_of(shown, TWO) == band_of(value, TWO)


def test_clear_readings_are_named_and_rounded_away_from_the_limit() -> None:
    assert clear_of(10.0, "kPa", TWO, METRIC) == "below 91 or from 109 kPa"
    assert clear_of(1.0, "mm", THREE, METRIC) == "below 7.1, from 8.9 to 13.1 or from 14.9 mm"
    assert clear_of(10.0, "kPa", TWO, IMPERIAL) == "below 13.3 or from 15.7 psi (below 91 or from 109 kPa)"
    assert clear_of(7.0, "mm", THREE, METRIC) == "below 2.2 or from 19.8 mm"  # the middle is never clear
    assert clear_of(0.0, "mm", THREE, METRIC) == ""
    assert clear_of(1.0, "mm", (Band(),), METRIC) == ""


@given(st.floats(0.01, 50))
def test_each_reading_named_is_clear(uncertainty: float) -> None:
    words = clear_of(uncertainty, "kPa", TWO, ()).split()
    below, above = float(words[1]), float(words[4])
    assert band_shares(below, uncertainty, [100.0])[0] >= 0.95 - 1e-9
    assert band_shares(above, uncertainty, [100.0])[1] >= 0.95 - 1e-9


def test_units_of_the_tables_are_told_without_the_units_library() -> None:
    code = (
        "import sys; from diagtree.measure.showing import limit; limit(1.0, '%', ('kPa', 'N m')); "
        "limit(1.0, 'kPa', ('kPa',)); sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
