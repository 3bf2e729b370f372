"""The QR code on a sheet: its finder patterns, its squares on the printed page, its text in letters."""

import pytest

from diagtree.report.sheets import pdf
from diagtree.report.sheets.code import MOST, lettered, modules, side
from diagtree.report.sheets.heading import Heading
from diagtree.report.sheets.marks import Frame
from diagtree.report.sheets.sheet import outside
from tests.report.sheets.opened import bare, made, pixels, said, scoped, texts

SHORT, LONG = "DT1 7GQ2-XK4M", "A4B9-" * 50


@pytest.mark.parametrize("text", ["x", SHORT, LONG])
def test_it_has_the_standards_corners(text: str) -> None:
    """ISO/IEC 18004, from memory: finder patterns of 7 x 7 squares in three corners, 17 + 4 * version squares."""
    grid = modules(text)
    size = len(grid)
    assert (size - 17) % 4 == 0
    finder = [[max(abs(row - 3), abs(column - 3)) != 2 for column in range(7)] for row in range(7)]
    for top, left in ((0, 0), (0, size - 7), (size - 7, 0)):
        assert [grid[top + row][left : left + 7] for row in range(7)] == finder


@pytest.mark.parametrize("text", [SHORT, LONG])
def test_each_square_is_on_the_printed_page(text: str) -> None:
    sheet = made(scoped("oil-low"), Heading(code=text))
    squares = [mark for mark in sheet.pages[0] if isinstance(mark, Frame) and mark.fill == 0.0]
    left, top = min(mark.left for mark in squares), min(mark.top for mark in squares)
    grid = modules(text)
    square = min(mark.height for mark in squares)
    scale = 6.0
    width, _, grey = pixels(pdf.paint(sheet), 0, scale)
    for row, cells in enumerate(grid):
        for column, black in enumerate(cells):
            across, down = (left + (column + 0.5) * square) * scale, (top + (row + 0.5) * square) * scale
            assert (grey[int(down) * width + int(across)] < 128) == black, (row, column)


@pytest.mark.parametrize("text", [SHORT, LONG, "M" * MOST])
def test_its_text_stands_in_letters_and_nothing_leaves_the_margins(text: str) -> None:
    sheet = made(scoped("oil-low"), Heading(code=text))
    assert outside(sheet) == []
    assert all(bare(text) in found for found in texts(sheet))
    assert lettered(text) == (text == SHORT)
    assert bare(f"Code{text}") not in said(sheet) or text != SHORT
    assert 70 < side(text) < 110


def test_a_text_that_no_code_holds_stands_in_letters_alone() -> None:
    text = "A4B9-" * 200
    sheet = made(scoped("oil-low"), Heading(code=text))
    assert outside(sheet) == []
    assert bare(f"Code{text}") in said(sheet)
    assert not [mark for mark in sheet.pages[0] if isinstance(mark, Frame) and mark.fill == 0.0]


@pytest.mark.parametrize("text", ["", "x" * (MOST + 1)])
def test_a_text_that_no_code_holds_is_our_bug(text: str) -> None:
    with pytest.raises(ValueError, match="characters"):
        modules(text)
