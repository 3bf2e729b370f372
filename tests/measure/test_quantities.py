"""A number with the unit behind it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.measure.quantities import Quantity, parse_quantity
from diagtree.measure.trouble import Trouble


@pytest.mark.parametrize(
    ("text", "value", "unit", "decimals"),
    [
        ("95", 95.0, "", 0),
        (" 95 kPa\n", 95.0, "kPa", 0),
        ("95kPa", 95.0, "kPa", 0),
        ("1,5 bar", 1.5, "bar", 1),
        ("0,500", 0.5, "", 3),
        ("1.500", 1.5, "", 3),
        ("1500,500", 1500.5, "", 3),
        ("-3", -3.0, "", 0),
        ("+3", 3.0, "", 0),
        ("\N{MINUS SIGN}3", -3.0, "", 0),
        ("1e2", 100.0, "", 0),
        ("1.25e1", 12.5, "", 1),
        (".5", 0.5, "", 1),
        ("5.", 5.0, "", 0),
    ],
)
def test_numbers_are_read_as_people_type_them(text: str, value: float, unit: str, decimals: int) -> None:
    assert parse_quantity(text) == Quantity(value, unit, decimals)


def test_minus_nothing_is_nothing() -> None:
    found = parse_quantity("-0")
    assert isinstance(found, Quantity)
    assert str(found.value) == "0.0"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "Nothing was typed."),
        ("nan", "'nan' does not start with a number."),
        ("-inf", "'-inf' does not start with a number."),
        ("1,500", "'1,500' can be read in two ways. Type 1500 or 1.5."),
        ("-1,000 kPa", "'-1,000' can be read in two ways. Type -1000 or -1."),
        ("1 500", "'1 500' is more than one number. Type one, without spaces in it."),
        ("95 -3", "'95 -3' is more than one number. Type one, without spaces in it."),
        ("95\n96", "'95 96' is more than one number. Type one, without spaces in it."),
        ("1.2.3", "'1.2.3' has more than one point or comma. Type it with one decimal point at most."),
        ("1e999", "'1e999' is too large a number."),
    ],
)
def test_what_cannot_be_read_gets_a_sentence(text: str, message: str) -> None:
    assert parse_quantity(text) == Trouble(message)


def test_a_squared_sign_is_not_read_as_a_digit() -> None:
    assert isinstance(parse_quantity("95²"), Trouble)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_float_is_read_back_from_how_it_prints(value: float) -> None:
    found = parse_quantity(repr(value))
    assert isinstance(found, Quantity)
    assert found.value == value
