"""Boxes with codes: a font of our own making, read again by two other libraries."""

import io

import pytest
from PIL import Image, ImageDraw, ImageFont

from diagtree.draw.codebox import font_file, lacking, runs
from diagtree.draw.font import ASCENT, DESCENT, STAND_IN, face

WIDE = "漢字\U0001f469"


def test_a_text_is_told_apart_where_the_font_lacks_a_character() -> None:
    found = runs("oil 油 low")
    assert [(run.text, run.boxed) for run in found] == [("oil ", False), ("油", True), (" low", False)]
    assert runs("") == ()


def test_what_is_lacking_is_named_once_and_in_order() -> None:
    assert lacking(["字 a", "漢字 b"]) == "字漢"
    assert lacking(["plain → ✓ °"]) == ""


def test_the_same_characters_make_the_same_bytes() -> None:
    assert font_file(lacking([WIDE])) == font_file.__wrapped__(lacking(["b", WIDE[::-1]]))


def drawn(character: str, size: int = 100) -> Image.Image:
    """The character in another library's hand, white on black, its origin at (50, 2 * size)."""
    picture = Image.new("L", (50 + 2 * size, 3 * size), 0)
    font = ImageFont.truetype(io.BytesIO(font_file(lacking([WIDE, "\u6f23"]))), size)
    ImageDraw.Draw(picture).text((50, 2 * size), character, font=font, fill=255, anchor="ls")
    return picture


@pytest.mark.parametrize("character", WIDE)
def test_another_library_reads_it_and_draws_boxes_inside_the_width_that_was_measured(character: str) -> None:
    size = 1000
    font = ImageFont.truetype(io.BytesIO(font_file(lacking([WIDE]))), size)
    assert font.getlength(character) == pytest.approx(face().width(character, size), abs=1)
    inked = drawn(character, size).getbbox()
    assert inked is not None
    left, top, right, bottom = inked
    assert 50 < left < right < 50 + face().width(STAND_IN, size)
    assert 2 * size - ASCENT * size < top < bottom < 2 * size + DESCENT * size


def test_characters_that_differ_have_boxes_that_differ() -> None:
    """U+6F22 and U+6F23 differ in their last digit alone."""
    assert len({drawn(character).tobytes() for character in (*WIDE, "\u6f23", "x")}) == 5
