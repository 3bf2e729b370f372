"""SAE J2012 / ISO 15031-6: the two bytes of a trouble code and how they are shown."""

import pytest

from diagtree.measure.codes import decode, encode, parse_code
from diagtree.measure.trouble import Trouble

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        (0x0016, "P0016"),
        (0x4123, "C0123"),
        (0x8123, "B0123"),
        (0xC100, "U0100"),
        (0x245A, "P245A"),
        (0x3FFF, "P3FFF"),
        (0xFFFF, "U3FFF"),
    ],
)
def test_bits_15_and_14_are_the_letter_13_and_12_the_digit(raw: int, code: str) -> None:
    assert decode(raw) == code
    assert encode(code) == raw
    assert parse_code(code) == code


@pytest.mark.parametrize("text", ["P4000", "X0016", "P001", "P00G6", "P0016-00"])
def test_other_forms_are_no_two_byte_codes(text: str) -> None:
    """A digit above 3, a fifth letter, four characters, no hexadecimal digit, the three-byte form."""
    assert isinstance(parse_code(text), Trouble)
