"""A sheet cut into small ones, joined again as a trainer would."""

import io
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pypdf
import pypdfium2
import pytest
from numpy.typing import NDArray

from diagtree.draw import pdf, tiles
from diagtree.draw.paper import MARGIN, PAPERS
from diagtree.draw.picture import POINTS_PER_MM, Picture
from diagtree.draw.shape import Extent

Grey = NDArray[np.int16]
_DPI = 76.2  # three dots a millimetre: every window begins on a dot
_DOTS = 3


@cache
def _cut(picture: Picture, name: str) -> bytes:
    return tiles.paint(picture, PAPERS[name])


def _rendered(document: bytes, page: int) -> Grey:
    opened = pypdfium2.PdfDocument(document)
    try:
        made = opened[page].render(scale=_DPI / 72 * (1 - 1e-6), grayscale=True).to_numpy()
    finally:
        opened.close()
    return np.asarray(made.reshape(made.shape[0], -1), dtype=np.int16)


@pytest.mark.parametrize("name", ["A4", "A3", "Letter"])
def test_every_sheet_is_exactly_its_paper(drawn: Callable[[str], Picture], name: str) -> None:
    """ISO 216: A4 is 210 by 297 mm."""
    paper = PAPERS[name]
    for page in pypdf.PdfReader(io.BytesIO(_cut(drawn("A0"), name))).pages:
        sides = sorted(float(side) / POINTS_PER_MM for side in (page.mediabox.width, page.mediabox.height))
        assert sides == pytest.approx([paper.short, paper.long], abs=0.01)


def test_the_fewest_sheets_are_taken_and_neighbours_share_ten_millimetres(drawn: Callable[[str], Picture]) -> None:
    cut = tiles.tiling(drawn("A0"), PAPERS["A4"])
    assert sorted((cut.rows, cut.columns)) == [5, 5]
    for row, column in cut.tiles():
        left, top = cut.corner(row, column)
        if column:
            before = cut.corner(row, column - 1)[0] + cut.window[0]
            assert before - left >= 10 - 1e-9
        if row:
            assert cut.corner(row - 1, column)[1] + cut.window[1] - top >= 10 - 1e-9
    last = cut.corner(cut.rows - 1, cut.columns - 1)
    assert last[0] + cut.window[0] >= cut.width - 0.01
    assert last[1] + cut.window[1] >= cut.height - 0.01


@pytest.mark.parametrize("name", ["A4", "A3"])
def test_joined_again_the_sheets_are_the_whole(drawn: Callable[[str], Picture], name: str) -> None:
    picture = drawn("A0")
    cut = tiles.tiling(picture, PAPERS[name])
    document = _cut(picture, name)
    whole = _rendered(pdf.paint([picture]), 0)
    joined = np.full((whole.shape[0] + 2000, whole.shape[1] + 2000), 255, dtype=np.int16)
    edge, (width, height) = round(MARGIN * _DOTS), (round(side * _DOTS) for side in cut.window)
    for number, (row, column) in enumerate(cut.tiles(), 1):
        left, top = (round(place * _DOTS) for place in cut.corner(row, column))
        page = _rendered(document, number)
        # A dot at the window's edge may be cut through by the clip.
        joined[top + 1 : top + height - 1, left + 1 : left + width - 1] = page[
            edge + 1 : edge + height - 1, edge + 1 : edge + width - 1
        ]
    again = joined[: whole.shape[0], : whole.shape[1]]
    assert _differing(again, whole) == (0.0, True)
    # Were one sheet laid a dot, a third of a millimetre, off, it would be seen.
    again[400:1000] = np.roll(again[400:1000], 1, axis=1)
    assert _differing(again, whole)[0] > 0


def _differing(one: Grey, other: Grey) -> tuple[float, bool]:
    """The share of dots that differ, in 2000 parts and rounded down; and whether each is like one beside it.

    A letter whose baseline falls between two rows of dots is snapped to either of them.
    """
    rows, columns = (side - 4 for side in one.shape)
    differing = np.abs(one - other)[2:-2, 2:-2] > 2
    beside = np.stack(
        [
            np.abs(one[2:-2, 2:-2] - other[2 + down : 2 + down + rows, 2 + right : 2 + right + columns])
            for down in (-1, 0, 1)
            for right in (-1, 0, 1)
        ]
    ).min(axis=0)
    return float(differing.mean() * 2000 // 1), bool(beside.max() <= 40)


def test_marks_and_words_stay_in_the_margin(drawn: Callable[[str], Picture]) -> None:
    """Nothing but the window lies inside the window: the margin of an inner sheet is inked, and lightly."""
    page = _rendered(_cut(drawn("A0"), "A4"), 13)
    edge = round(MARGIN * _DOTS)
    margins = (page[: edge - 1], page[1 - edge :], page[:, : edge - 1], page[:, 1 - edge :])
    assert all((margin < 128).any() for margin in margins)
    assert all((margin < 128).mean() < 0.05 for margin in margins)
    assert (page[:9] > 250).all()
    assert (page[:, :9] > 250).all()


def test_each_sheet_says_its_row_and_column_and_the_first_how_they_are_joined(drawn: Callable[[str], Picture]) -> None:
    picture = drawn("A0")
    reader = pypdf.PdfReader(io.BytesIO(_cut(picture, "A4")))
    cover, *sheets = (" ".join(page.extract_text().split()) for page in reader.pages)
    assert "25 sheets in 5 rows and 5 columns" in cover
    assert "100 mm" in cover
    for text, (row, column) in zip(sheets, tiles.tiling(picture, PAPERS["A4"]).tiles(), strict=True):
        assert f"row {row + 1} of 5, column {column + 1} of 5" in text
        assert "100 mm" in text


def test_the_bar_is_a_hundred_millimetres(drawn: Callable[[str], Picture]) -> None:
    page = _rendered(_cut(drawn("A0"), "A4"), 1)
    lowest = page[-round(7 * _DOTS) : -round(5 * _DOTS)]
    longest = 0
    for row in lowest:
        edges = np.flatnonzero(np.diff(np.concatenate([[0], row < 140, [0]])))
        longest = max(longest, *(edges[1::2] - edges[::2]), 0)
    assert longest / _DOTS == pytest.approx(100, abs=1.0)


def test_cut_at_its_marks_each_sheet_still_says_which_one_it_is_and_of_which_revision(
    drawn: Callable[[str], Picture],
) -> None:
    """What is left of the left and upper marks is cut off; the right margin stays, below the neighbour."""
    picture = drawn("A0")
    document = pypdfium2.PdfDocument(_cut(picture, "A4"))
    cut = tiles.tiling(picture, PAPERS["A4"])
    assert "Revision 1, 2026-11-25" in " ".join(document[0].get_textpage().get_text_range().split())
    for number, (row, column) in enumerate(cut.tiles(), 1):
        page = document[number]
        width, height = page.get_size()
        edge = MARGIN * POINTS_PER_MM
        kept = page.get_textpage().get_text_bounded(left=width - edge, bottom=0, right=width, top=height - edge)
        said = f"Rattle on cold start: row {row + 1} of 5, column {column + 1} of 5. Revision 1, 2026-11-25"
        assert said in " ".join(kept.split())


def test_a_reader_shows_row_and_column_as_page_number_and_bookmark(drawn: Callable[[str], Picture]) -> None:
    reader = pypdf.PdfReader(io.BytesIO(_cut(drawn("A0"), "A4")))
    assert reader.page_labels[:3] == ["map", "1-1", "1-2"]
    assert reader.page_labels[-1] == "5-5"
    title, sheets = reader.outline
    assert title.title == "Rattle on cold start"
    assert [entry.title for entry in sheets[:2]] == ["Row 1 of 5, column 1 of 5", "Row 1 of 5, column 2 of 5"]
    assert [reader.get_destination_page_number(entry) for entry in sheets] == list(range(1, 26))


@pytest.mark.parametrize("more", [1.0, 4.0, 30.0])
def test_numbers_on_the_map_keep_apart_where_the_last_sheets_are_narrow(
    drawn: Callable[[str], Picture], monkeypatch: pytest.MonkeyPatch, more: float
) -> None:
    picture, paper = drawn("A0"), PAPERS["A4"]
    across, down = (
        9 * (side - 2 * MARGIN - tiles.OVERLAP) + tiles.OVERLAP + more for side in (paper.short, paper.long)
    )
    wide = replace(picture, width=across * POINTS_PER_MM, height=down * POINTS_PER_MM)
    cut = tiles.Tiling(across, down, paper.short, paper.long, 10, 10)  # lying there would be fewer
    monkeypatch.setattr(tiles, "tiling", lambda *_: cut)
    plates: list[Extent] = []

    def laid(_page: object, *sides: float, fill: int = 0) -> None:
        if fill:
            plates.append(Extent(*sides))

    monkeypatch.setattr(tiles._Page, "_rectangle", laid)
    tiles.paint(wide, paper)
    assert len(plates) == 10 * 10
    assert not [pair for pair in combinations(plates, 2) if pair[0].meets(pair[1])]
    assert all(one.left >= 0 and one.right <= cut.across and one.bottom <= cut.down - MARGIN for one in plates)


def test_the_sheet_is_in_the_file_once_and_two_runs_are_the_same_bytes(drawn: Callable[[str], Picture]) -> None:
    picture = drawn("A0")
    document = _cut(picture, "A4")
    assert tiles.paint(picture, PAPERS["A4"]) == document
    # Bytes a page, the map among them: its window, which one it is, twice, its number and its bookmark.
    assert len(document) - len(pdf.paint([picture])) < 620 * 26
    reader = pypdf.PdfReader(io.BytesIO(document))
    held = [page["/Resources"]["/XObject"] for page in reader.pages]
    assert (
        len({each.raw_get(name).idnum for each in held for name in each}) == 2
    )  # the sheet, and what every margin shows
