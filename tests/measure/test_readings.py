"""Readings typed at the bench."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.measure.readings import Reading, parse_reading
from diagtree.measure.trouble import MOST_QUOTED, Trouble

SHORT_MESSAGE = 300


@pytest.mark.parametrize("text", ["95", "95 kPa", "95kPa", "95 KPA", "+95", "9.5e1", "0.95 bar", "0,95 Bar"])
def test_ways_to_type_the_same_pressure(text: str) -> None:
    assert parse_reading(text, "kPa") == Reading(95.0, "kPa", text)


def test_the_text_is_kept_as_typed_on_one_line() -> None:
    assert parse_reading("  95 \t kPa\n", "kPa") == Reading(95.0, "kPa", "95 kPa")


def test_a_counting_word_works_for_the_check_that_uses_it() -> None:
    assert parse_reading("4 notches", "notches") == Reading(4.0, "notches", "4 notches")


def test_a_temperature_may_be_typed_on_the_other_scale() -> None:
    assert parse_reading("212F", "°C") == Reading(100.0, "°C", "212F")


def test_an_ambiguous_comma_asks_which_is_meant() -> None:
    assert parse_reading("1,500", "kPa") == Trouble("'1,500' can be read in two ways. Type 1500 or 1.5.")


def test_another_dimension_is_refused() -> None:
    found = parse_reading("12 V", "kPa")
    assert isinstance(found, Trouble)
    assert found.message.startswith("'V' is no pressure. Type the reading in kPa")


def test_energy_is_no_torque() -> None:
    assert isinstance(parse_reading("10 J", "N m"), Trouble)


def test_empty_input_says_what_to_type() -> None:
    assert parse_reading(" ", "kPa") == Trouble(
        "Nothing was typed. Type the number that the gauge shows, alone or with its unit, such as 12 kPa."
    )


@pytest.mark.parametrize("text", ["nan", "inf", "-Infinity", "1e309", "1e308 bar", "-1e308 psi"])
def test_numbers_without_end_are_refused(text: str) -> None:
    assert isinstance(parse_reading(text, "Pa"), Trouble)


@pytest.mark.parametrize("start", ["", "95 ", "1,", "-"])
def test_a_pasted_megabyte_gets_a_short_sentence(start: str) -> None:
    found = parse_reading(start + "9" * 1_000_000, "kPa")
    assert isinstance(found, Trouble)
    assert len(found.message) < SHORT_MESSAGE
    assert "9" * (MOST_QUOTED + 1) not in found.message


@given(st.text() | st.from_regex(r"[+-]?[0-9.,]{1,8}(e[0-9]{1,3})? ?.{0,6}"), st.sampled_from(["kPa", "N m", "°C", ""]))
def test_any_text_gives_a_finite_reading_or_a_short_printable_sentence(text: str, unit: str) -> None:
    found = parse_reading(text, unit)
    if isinstance(found, Trouble):
        assert found.message.isprintable()
        assert len(found.message) < SHORT_MESSAGE
    else:
        assert math.isfinite(found.value)
        assert found.unit == unit
        assert found.typed.isprintable()
