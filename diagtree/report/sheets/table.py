"""Tables: a head that stands again on each page, rows that stay whole, columns of fixed width."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from diagtree.report.sheets.blocks import MOST_LINES, TICK, Group, Piece, bound, tick
from diagtree.report.sheets.marks import Frame, Mark, Span, Stroke
from diagtree.report.sheets.setting import SMALL, TEXT, Style, fill, line, width

_PAD = 3.0  # above and below a row's words
_GUTTER = 6.0  # between columns
_EDGE = 3.0  # inside a frame to write into
_HEAD = Style(7.5, bold=True)
_MOST = 3 * MOST_LINES  # lines of a row in one piece
_Set: TypeAlias = tuple[str, Style]  # a line of words and its type


@dataclass(frozen=True, slots=True)
class Column:
    """A column. `share` of the room that is left by fixed columns, or a fixed width in points."""

    head: str
    share: float = 0.0
    fixed: float = 0.0
    right: bool = False  # set to the right edge
    box: bool = False  # a box to tick instead of words
    frame: bool = False  # a frame to write into


@dataclass(frozen=True, slots=True)
class Cell:
    """Words of a cell: a line in text type, then details in small type."""

    text: str = ""
    details: tuple[str, ...] = ()
    bold: bool = False


def table(columns: Sequence[Column], rows: Sequence[Sequence[Cell]], span: Span) -> Group:
    """The table. Each row has a cell for each column, those of boxes too."""
    places = _places(columns, span)
    head = _head(columns, places, span)
    body = [piece for row in rows for piece in _row(columns, row, places, span)]
    return Group((head, *bound(body)), again=(head,))


def _places(columns: Sequence[Column], span: Span) -> list[Span]:
    fixed = sum(column.fixed for column in columns)
    rest = span.room - fixed - _GUTTER * (len(columns) - 1)
    shares = sum(column.share for column in columns) or 1.0
    widths = [column.fixed or rest * column.share / shares for column in columns]
    return [Span(span.left + sum(widths[:at]) + _GUTTER * at, wide) for at, wide in enumerate(widths)]


def _inner(column: Column, place: Span) -> Span:
    """Where a column's words stand."""
    return place.inset(_EDGE) if column.frame else place


def _head(columns: Sequence[Column], places: Sequence[Span], span: Span) -> Piece:
    said = [fill(column.head, _HEAD, place.room) for column, place in zip(columns, places, strict=True)]
    high = max(map(len, said)) * _HEAD.leading
    marks: list[Mark] = []
    for column, place, words in zip(columns, places, said, strict=True):
        marks += _set([(one, _HEAD) for one in words], place, high - len(words) * _HEAD.leading, right=column.right)
    marks.append(Stroke(span.left, high + 2, span.right, high + 2, 0.9))
    return Piece(high + 2, tuple(marks), stays=True)


def _row(columns: Sequence[Column], row: Sequence[Cell], places: Sequence[Span], span: Span) -> list[Piece]:
    """A row; one that is taller than a page should hold goes on in another piece."""
    rooms = [_inner(column, place).room for column, place in zip(columns, places, strict=True)]
    said = [_lines(cell, room) for cell, room in zip(row, rooms, strict=True)]
    starts = range(0, max(1, *map(len, said)), _MOST)
    return [_part(columns, [words[at : at + _MOST] for words in said], places, span, (at, starts[-1])) for at in starts]


def _part(
    columns: Sequence[Column], said: Sequence[Sequence[_Set]], places: Sequence[Span], span: Span, at: tuple[int, int]
) -> Piece:
    """So many lines of a row. `at`: the first of them, and where the last part begins."""
    marks: list[Mark] = []
    for column, place, words in zip(columns, places, said, strict=True):
        if column.box and at[0] == 0:
            marks.append(tick(place.left, top=_PAD))
        marks += _set(words, _inner(column, place), _PAD, right=column.right)
    high = max(TICK + 4, *(2 * _PAD + sum(style.leading for _, style in words) for words in said))
    for column, place in zip(columns, places, strict=True):
        if column.frame:
            marks.append(Frame(place.left, 2, place.room, high - 4, 0.4))
    if at[0] == at[1]:
        marks.append(Stroke(span.left, high, span.right, high, 0.4))
    return Piece(high, tuple(marks), stays=at[0] != at[1])


def _lines(cell: Cell, wide: float) -> list[_Set]:
    style = Style(TEXT.size, cell.bold)
    return [
        *((words, style) for words in fill(cell.text, style, wide) if cell.text),
        *((words, SMALL) for detail in cell.details if detail for words in fill(detail, SMALL, wide)),
    ]


def _set(said: Sequence[_Set], place: Span, top: float, *, right: bool) -> list[Mark]:
    marks: list[Mark] = []
    for words, style in said:
        shift = place.room - width(words, style) if right else 0.0
        marks += [line(words, style, Span(place.left + shift, place.room), top)] if words else []
        top += style.leading
    return marks
