"""Values brought from one unit to another."""

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import diagtree.measure.units
from diagtree.measure.spelling import spell
from diagtree.measure.units import _NAMES, UnitTrouble, _unit, convert, convert_span, known

ROOT = Path(diagtree.measure.units.__file__).parents[2]
KINDS = (
    ("kPa", "psi", "bar", "inHg", "kgf/cm2", "mbar"),
    ("N m", "lbf ft", "lbf in", "kgf m"),
    ("mm", "in", "ft"),
    ("°C", "°F", "K"),
    ("V", "mV"),
    ("l", "ml"),
    ("s", "min", "h"),
)
PAIRS = [(first, second) for kind in KINDS for first in kind for second in kind]


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        (0.1, "in", "mm", 2.54),
        (1.5, "bar", "kPa", 150.0),
        (212.0, "°F", "°C", 100.0),
        (32.0, "F", "C", 0.0),
        (-40.0, "degC", "degF", -40.0),
        (273.15, "K", "°C", 0.0),
        (36.0, "lbf in", "lbf ft", 3.0),
        (0.5, "h", "min", 30.0),
        (50.0, "mV", "V", 0.05),
        (6.0, "l/min", "l/h", 360.0),
    ],
)
def test_decimal_conversions_come_out_as_the_decimal_number(value: float, unit: str, to: str, expected: float) -> None:
    """Not 2.5400000000000005: a reading on a limit stays on it."""
    assert convert(value, unit, to) == expected


@given(st.sampled_from(PAIRS), st.floats(-1e9, 1e9))
def test_a_conversion_and_back_gives_the_value(pair: tuple[str, str], value: float) -> None:
    there = convert(value, *pair)
    assert isinstance(there, float)
    back = convert(there, pair[1], pair[0])
    assert back == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(st.sampled_from(PAIRS), st.floats(-1e6, 1e6), st.floats(0, 1e6))
def test_a_span_converts_as_the_difference_of_two_points(pair: tuple[str, str], low: float, span: float) -> None:
    ends = [convert(value, *pair) for value in (low, low + span)]
    assert isinstance(ends[0], float)
    assert isinstance(ends[1], float)
    assert convert_span(span, *pair) == pytest.approx(ends[1] - ends[0], rel=1e-9, abs=1e-6)


def test_a_temperature_difference_has_no_offset() -> None:
    assert convert_span(18.0, "°F", "°C") == 10.0


def test_another_kind_of_unit_is_refused_with_what_to_type() -> None:
    assert convert(1.0, "V", "kPa") == UnitTrouble(
        "'V' is no pressure. Type the reading in kPa, or in a unit of the same kind such as psi or bar."
    )


def test_an_unknown_unit_is_refused_with_what_to_type() -> None:
    assert convert(1.0, "blorps", "mm") == UnitTrouble(
        "'blorps' is no unit known here. Type the reading in mm, or in a unit of the same kind such as in or cm."
    )


@pytest.mark.parametrize(
    ("unit", "to"),
    [
        ("J", "N m"),  # one dimension, another thing
        ("kW h", "N m"),
        ("N m", "J"),
        ("lb ft", "ft lb/deg"),
        ("deg", "%"),  # both without dimension
        ("rad", "%"),
        ("rpm", "Hz"),  # 1 rpm is not 2 pi / 60 Hz
        ("Hz", "rpm"),
        ("C", "A h"),  # a temperature, no charge
        ("nm", "mm"),  # a torque, no length
        ("lb", "lbf"),
        ("dB", "%"),
        ("l", "m"),
    ],
)
def test_units_that_only_look_alike_are_refused(unit: str, to: str) -> None:
    assert isinstance(convert(1.0, unit, to), UnitTrouble)


@pytest.mark.parametrize(("unit", "to"), [("psia", "kPa"), ("gal", "l"), ("mpa", "kPa"), ("links", "mm"), ("MV", "V")])
def test_a_misleading_spelling_is_refused_even_in_its_own_dimension(unit: str, to: str) -> None:
    assert isinstance(convert(1.0, unit, to), UnitTrouble)


@pytest.mark.parametrize("unit", ["notches", "Notches", "notch"])
def test_a_counting_word_of_the_library_works_as_it_stands(unit: str) -> None:
    assert convert(3.0, unit, "notches") == 3.0


def test_nothing_else_turns_into_a_counting_word() -> None:
    assert convert(3.0, "mm", "notches") == UnitTrouble(
        "'mm' cannot be turned into notches. Type the reading in notches."
    )


def test_a_reading_without_a_unit_takes_the_number_alone() -> None:
    assert convert(3.0, "mm", "") == UnitTrouble(
        "'mm' stands behind the number. This reading has no unit: type the number alone."
    )


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_numbers_that_are_not_finite_are_refused_even_in_the_same_unit(value: float) -> None:
    assert isinstance(convert(value, "kPa", "kPa"), UnitTrouble)


def test_a_value_too_large_in_the_new_unit_is_refused() -> None:
    assert isinstance(convert(1e308, "bar", "Pa"), UnitTrouble)


@pytest.mark.parametrize("unit", [unit for _, units in _NAMES for unit in units])
def test_a_unit_that_is_known_without_the_unit_library_is_known_to_it_in_this_spelling(unit: str) -> None:
    assert spell(unit) == unit
    assert _unit(unit) is not None


def test_known_tells_units_from_other_words() -> None:
    assert [unit for unit in ("kPa", "N m", "lb ft", "°C", "Ω", "notches", "", "links", "gal") if known(unit)] == [
        "kPa",
        "N m",
        "lb ft",
        "°C",
        "Ω",
    ]


@given(st.text(max_size=100), st.sampled_from(["kPa", "N m", "°C", "notches", "%", ""]))
def test_no_text_for_a_unit_raises(text: str, to: str) -> None:
    result = convert(1.0, text, to)
    assert isinstance(result, float) or result.message.isprintable()


@pytest.mark.parametrize(
    "call",
    [
        "from diagtree.measure import bands, codes, offsets, readings, torque, units",
        "from diagtree.measure.readings import parse_reading as p; p('95 kpa', 'kPa'); p('3 notches', 'notches')",
        "from diagtree.measure.torque import parse_step as p, show; show(p('10 Nm'), ['N m', 'kPa', 'mm'])",
        "from diagtree.measure.offsets import parse_offsets as p; p('a:-4 deg', ['a'])",
    ],
)
def test_nothing_heavy_is_loaded_where_no_unit_differs(call: str) -> None:
    """Start-up is part of the product."""
    code = f"import sys; {call}; print(*{{'numpy', 'pint', 'scipy'}} & sys.modules.keys())"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""


def test_a_pasted_megabyte_is_not_kept() -> None:
    before = diagtree.measure.units._line.cache_info().misses
    assert isinstance(convert(1.0, "x" * 1_000_000, "kPa"), UnitTrouble)
    assert diagtree.measure.units._line.cache_info().misses == before
