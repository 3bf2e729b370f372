"""Quoting what a person typed."""

from hypothesis import given
from hypothesis import strategies as st

from diagtree.measure.trouble import MOST_QUOTED, quote


def test_short_text_is_quoted_whole() -> None:
    assert quote("95 kPa") == "'95 kPa'"


def test_white_space_and_new_lines_become_single_spaces() -> None:
    assert quote("95\r\n\t kPa") == "'95 kPa'"


def test_control_and_direction_characters_are_replaced() -> None:
    assert quote("\x1b[31m\u202e5\x00") == "'\ufffd[31m\ufffd5\ufffd'"


def test_a_long_paste_is_cut_and_says_so() -> None:
    assert quote("x" * 1_000_000) == "'" + "x" * (MOST_QUOTED - 1) + "…'"


@given(st.text())
def test_a_quotation_prints_on_one_line_and_is_short(text: str) -> None:
    shown = quote(text)
    assert shown.isprintable()
    assert len(shown) <= MOST_QUOTED + 2
