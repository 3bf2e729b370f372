"""SAE J2012 / ISO 15031-6: the two bytes of a trouble code and how they are shown."""

from pathlib import Path

import pytest

from diagtree.measure.codes import decode, encode, parse_code
from diagtree.measure.trouble import Trouble
from diagtree.source.reader import read

ROOT = Path(__file__).resolve().parents[2]

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


@pytest.mark.parametrize(
    ("codes", "words"),
    [
        (("P0016", "P0017", "P0018", "P0019"), ("crankshaft", "camshaft", "do not agree")),
        (("P0011", "P0014", "P0021", "P0024"), ("camshaft", "too early")),
        (("P0012", "P0015", "P0022", "P0025"), ("camshaft", "too late")),
        (("P0010", "P0013", "P0020", "P0023"), ("control valve", "camshaft", "circuit")),
        (("P0340", "P0341", "P0345", "P0365", "P0390"), ("camshaft sensor",)),
        (("P0335", "P0336", "P0385"), ("crankshaft sensor",)),
        (("P0520", "P0521", "P0522", "P0523", "P0524"), ("oil pressure",)),
        (("P0016", "P0017", "P0010", "P0015", "P0340", "P0365"), ("bank 1",)),
        (("P0018", "P0019", "P0020", "P0025", "P0345", "P0390"), ("bank 2",)),
    ],
)
def test_titles_of_the_demo_say_what_the_standard_s_say(codes: tuple[str, ...], words: tuple[str, ...]) -> None:
    """Meanings of the standard's table of power train codes, from memory; the demo has them in words of its own."""
    titles = read(str(ROOT / "trees" / "codes.yaml")).library.codes
    for code in codes:
        assert all(word in titles[code].lower() for word in words), code
