"""Measuring and breaking text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.draw.font import ASCENT, DESCENT, SOFT_HYPHEN, STAND_IN, UNPRINTABLE, clean, face, wrap


@pytest.mark.parametrize("bold", [False, True])
def test_widths_are_those_of_the_rendering_library(bold: bool) -> None:
    """FreeType, which Pillow carries, reads the same file: letters alone, as pairs are kerned there."""
    from PIL import ImageFont

    cut = face(bold=bold)
    font = ImageFont.truetype(str(cut.path), 1000)
    for letter in "AWi.é→":
        assert font.getlength(letter) == pytest.approx(cut.width(letter, 1000), abs=1)


@pytest.mark.parametrize("bold", [False, True])
def test_line_heights_are_the_fonts_own(bold: bool) -> None:
    from PIL import ImageFont

    ascent, descent = ImageFont.truetype(str(face(bold=bold).path), 1000).getmetrics()
    assert ascent <= ASCENT * 1000
    assert descent <= DESCENT * 1000


@given(st.text(), st.floats(20, 300), st.booleans())
def test_no_line_is_wider_than_the_limit_and_no_character_is_lost(text: str, limit: float, bold: bool) -> None:
    said = clean(text)
    lines = wrap(said, 10.0, limit, bold=bold)
    cut = face(bold=bold)
    assert all(cut.width(line, 10.0) <= limit + 1e-9 or len(line) == 1 for line in lines)
    assert "".join(lines).replace(" ", "").replace(SOFT_HYPHEN, "") == said.replace(" ", "")


def test_a_long_word_is_broken() -> None:
    lines = wrap("x" * 200, 10.0, 100.0)
    assert len(lines) > 5
    assert "".join(lines).replace(SOFT_HYPHEN, "") == "x" * 200


def test_a_broken_word_has_a_hyphen_and_a_broken_code_has_none() -> None:
    """The first says that the word goes on; the second is typed as it stands."""
    for word in ("Steuerkettenspannergehäuse", "Цепь" * 8):
        *broken, last = wrap(word, 10.0, 60.0)
        assert broken
        assert all(line.endswith(SOFT_HYPHEN) for line in broken)
        assert SOFT_HYPHEN not in last
    for word in ("P0016-1234567890-ABCDEF", "7" * 40, "油" * 20, f"{'x' * 30}1"):
        assert SOFT_HYPHEN not in "".join(wrap(word, 10.0, 60.0))
    assert "well" in wrap("well Steuerkettenspannergehäuse", 10.0, 60.0)[0]


def test_lines_are_of_nearly_equal_width() -> None:
    """A greedy filling would leave a last line of one word."""
    first, second = wrap("How far does the tensioner stand out", 10.0, 150.0)
    assert abs(face().width(first, 10.0) - face().width(second, 10.0)) < 45


def test_a_character_that_the_font_lacks_gets_a_visible_stand_in_with_a_width() -> None:
    assert face().shown("油 low") == f"{STAND_IN} low"
    assert face().width("油", 10.0) == face().width(STAND_IN, 10.0) > 5
    assert all(ord(mark) in face(bold=bold).advances for mark in (STAND_IN, UNPRINTABLE) for bold in (False, True))


@given(st.text(st.characters(codec=None)))
def test_clean_text_is_one_line_that_any_file_may_hold(text: str) -> None:
    said = clean(text)
    assert clean(said) == said
    assert said.isprintable() or "\u200c" in said or "\u200d" in said
    said.encode()


def test_marks_that_turn_the_direction_of_writing_are_shown() -> None:
    assert clean("a\u202eb\x1b[31m\n c") == f"a{UNPRINTABLE}b{UNPRINTABLE}[31m c"
