from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.report.lines import cells, decimal, hang, hours, join, money, pad, quantity, wrap

WIDE = "正時鏈條"  # four characters of two cells


def test_wide_characters_take_two_cells_and_combining_ones_none() -> None:
    assert cells("chain") == 5
    assert cells(WIDE) == 8
    assert cells("e\N{COMBINING ACUTE ACCENT}") == 1


@given(st.text(max_size=120), st.integers(2, 40))
def test_no_wrapped_line_is_wider_than_the_columns(text: str, columns: int) -> None:
    lines = wrap(text, columns)
    assert all(cells(line) <= columns for line in lines)
    assert all(line.isprintable() for line in lines)


@given(st.lists(st.text("abcdefgh", min_size=1, max_size=9), max_size=30), st.integers(10, 40))
def test_wrapping_loses_no_word(words: list[str], columns: int) -> None:
    assert " ".join(wrap(" ".join(words), columns)).split() == words


def test_what_a_terminal_would_obey_becomes_a_blank() -> None:
    assert wrap("a\x1b[31mb\u202ec") == ["a [31mb c"]


def test_a_figure_stays_with_its_unit() -> None:
    assert wrap("parts 12.50 EUR", 11) == ["parts", "12.50 EUR"]
    assert wrap("1 2 3 4", 3) == ["1 2", "3 4"]


def test_a_hanging_text_stands_beside_its_head() -> None:
    assert hang("  N-1", "one two three", 7, 14) == ["  N-1  one two", "       three"]
    assert hang("", "one", 4) == ["    one"]
    assert hang("  - ", "", 4) == ["  -"]
    assert hang("", "", 4) == []


def test_a_head_that_is_too_long_stands_on_its_own_line() -> None:
    assert hang("  A-LONG-NUMBER", "one", 6, 10) == ["  A-LONG-N", "  UMBER", "      one"]


@pytest.mark.parametrize(
    ("value", "shown"),
    [("2.675", "2.68"), ("0.005", "0.01"), ("0.0049", "0.00"), ("-1.5", "-1.50"), ("1234", "1234.00")],
)
def test_money_is_rounded_half_up(value: str, shown: str) -> None:
    assert decimal(Fraction(value), 2) == shown


def test_figures_carry_their_units() -> None:
    assert money(Fraction(84), "EUR") == "84.00 EUR"
    assert money(Fraction(84), "") == "84.00"
    assert hours(Fraction("2.6")) == "2.6 h"
    assert hours(Fraction(8, 3)) == "2.67 h"
    assert quantity(Fraction("5.5"), "l") == "5.5 l"
    assert quantity(Fraction(10), "") == "10"


def test_words_are_joined_as_in_a_sentence() -> None:
    assert [join([]), join(["a"]), join(["a", "b"]), join(["a", "b", "c"], "or")] == ["", "a", "a and b", "a, b or c"]


def test_padding_counts_cells() -> None:
    assert pad(WIDE, 10) == WIDE + "  "
    assert pad("7", 3, right=True) == "  7"


def test_a_unit_of_two_words_stays_with_its_figure() -> None:
    assert wrap("Tighten: 24 N m (18 lbf ft), then 90 deg", 24) == ["Tighten: 24 N m", "(18 lbf ft), then 90 deg"]
    assert wrap("turn it to 10 N m", 15) == ["turn it to", "10 N m"]
    assert wrap("Turn it to N or lbf", 15) == ["Turn it to N or", "lbf"]
