"""Pieces on pages: each once, in order, whole; no heading left behind; heads of tables again on each page."""

from dataclasses import dataclass
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.report.sheets.blocks import MOST_LINES, Group, Piece, framed, inset, text, ticked
from diagtree.report.sheets.flow import paginate
from diagtree.report.sheets.marks import Frame, Mark, Span, Words
from diagtree.report.sheets.setting import TEXT
from diagtree.report.sheets.table import Cell, Column, table

HIGH = 300.0
SPAN = Span(0, 200)


def piece(name: str, height: float, *, stays: bool = False) -> Piece:
    """A piece that can be told from others, its mark as high as itself."""
    return Piece(height, (Words(name, 0, height, 1, 1, 1), Frame(0, 0, 10, height)), stays)


@dataclass(frozen=True)
class Placed:
    name: str
    top: float
    bottom: float


def placed(pages: tuple[tuple[Mark, ...], ...]) -> list[list[Placed]]:
    return [
        [
            Placed(words.text, frame.top, frame.top + frame.height)
            for words, frame in zip(page[::2], page[1::2], strict=True)
            if isinstance(words, Words) and isinstance(frame, Frame)
        ]
        for page in pages
    ]


pieces = st.builds(
    lambda high, stays: (high, stays),
    st.floats(1, 90, allow_nan=False).map(lambda value: round(value, 1)),
    st.booleans(),
)
groups = st.lists(st.tuples(st.lists(pieces, min_size=1, max_size=8), st.booleans(), st.booleans()), max_size=8)


@given(groups)
def test_every_piece_stands_once_in_order_and_inside_its_page(
    drawn: list[tuple[list[tuple[float, bool]], bool, bool]],
) -> None:
    made = [
        Group(
            tuple(piece(f"{at}.{number}", high, stays=stays) for number, (high, stays) in enumerate(held)),
            again=(piece("again", 9),) if again else (),
            whole=whole,
        )
        for at, (held, whole, again) in enumerate(drawn)
    ]
    found = placed(paginate(made, HIGH))
    wanted = [words.text for group in made for one in group.pieces for words in one.marks if isinstance(words, Words)]
    assert [one.name for page in found for one in page if one.name != "again"] == wanted
    for page in found:
        assert all(0 <= one.top <= one.bottom <= HIGH + 1e-6 for one in page)
        assert all(one.bottom <= other.top + 1e-6 for one, other in pairwise(page))


def test_a_heading_goes_over_with_what_it_heads() -> None:
    found = placed(
        paginate(
            [Group((piece("long", 270),)), Group((piece("heading", 20, stays=True),)), Group((piece("row", 20),))], HIGH
        )
    )
    assert [[one.name for one in page] for page in found] == [["long"], ["heading", "row"]]


def test_a_tables_head_stands_again_on_each_page() -> None:
    head = piece("head", 20, stays=True)
    rows = Group((head, *(piece(f"row {number}", 50) for number in range(12))), again=(head,))
    found = placed(paginate([rows], HIGH))
    assert len(found) == 3
    assert all(page[0].name == "head" for page in found)
    assert sum(one.name.startswith("row") for page in found for one in page) == 12


def test_a_group_is_kept_whole_where_that_leaves_little_white() -> None:
    group = Group(tuple(piece(f"step {number}", 30) for number in range(4)), whole=True)
    found = placed(paginate([Group((piece("before", 220),)), group], HIGH))
    assert [len(page) for page in found] == [1, 4]


def test_a_long_group_is_broken_rather_than_leave_half_a_page_white() -> None:
    group = Group(tuple(piece(f"step {number}", 30) for number in range(8)), (piece("again", 9),), whole=True)
    found = placed(paginate([Group((piece("before", 220),)), group], HIGH))
    assert [one.name for one in found[0]] == ["before", "step 0", "step 1"]
    assert found[1][0].name == "again"


def test_a_text_longer_than_a_page_is_parted_with_no_line_alone() -> None:
    for words in range(1, 3000, 131):
        made = text("oil " * words, TEXT, SPAN)
        lines = [len(one.marks) for one in made]
        assert max(lines) <= MOST_LINES
        assert len(made) == 1 or min(lines) > 1


def test_a_frame_around_a_text_longer_than_a_page_is_parted_too() -> None:
    inside = text("hot oil " * 2000, TEXT, SPAN.inset(inset(double=True)))
    made = framed(inside, SPAN, double=True)
    assert len(made) > 1
    for one in made:
        (outer, inner) = (mark.extent for mark in one.marks if isinstance(mark, Frame))
        assert outer.holds(inner)
        assert all(inner.holds(mark.extent) for mark in one.marks if isinstance(mark, Words))


def test_a_box_to_tick_stands_before_the_first_line_alone() -> None:
    first, *others = ticked("Undo the bolts from outside to inside. " * 40, SPAN)
    (box,) = (mark for mark in first.marks if isinstance(mark, Frame))
    words = [mark for mark in first.marks if isinstance(mark, Words)]
    assert box.extent.right < min(word.left for word in words)
    assert words[0].extent.top < box.extent.top < box.extent.bottom <= words[0].baseline + 1
    assert not [mark for one in others for mark in one.marks if isinstance(mark, Frame)]


@pytest.mark.parametrize("rows", range(2, 60))
def test_no_row_of_a_table_stands_alone_at_the_head_or_foot_of_a_page(rows: int) -> None:
    columns = (Column("", fixed=12, box=True), Column("Part", 3), Column("Price", 1, right=True))
    cells = [[Cell(), Cell(f"part {number}", ("Single use.",)), Cell("7.50")] for number in range(rows)]
    pages = paginate([Group((piece("before", 100),)), table(columns, cells, SPAN)], HIGH)
    shown = [[mark.text for mark in page if isinstance(mark, Words) and mark.text.startswith("part")] for page in pages]
    assert [text for page in shown for text in page] == [f"part {number}" for number in range(rows)]
    assert all(len(page) != 1 for page in shown)


def test_cells_keep_to_their_columns_and_figures_to_the_right_edge() -> None:
    columns = (Column("Part", 3), Column("Number", 2), Column("Price", fixed=60, right=True), Column("", 1, frame=True))
    long = "Nockenwellenversteller" * 30
    made = table(columns, [[Cell(long, (long,)), Cell(long), Cell("7.50 EUR"), Cell("95 kPa")]], SPAN)
    words = [mark for one in made.pieces for mark in one.marks if isinstance(mark, Words)]
    assert all(word.width <= word.room + 0.01 for word in words)
    by_left: dict[float, float] = {}
    for word in (word for word in words if word.text != "Price"):
        by_left[round(word.left, 3)] = max(by_left.get(round(word.left, 3), 0), word.left + word.width)
    edges = sorted(by_left.items())
    assert all(right <= left for (_, right), (left, _) in pairwise(edges))
    (price,) = (word for word in words if word.text == "7.50 EUR")
    (head,) = (word for word in words if word.text == "Price")
    assert price.left + price.width == pytest.approx(head.left + head.width)
