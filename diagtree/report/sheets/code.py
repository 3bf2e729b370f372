"""A short text as a QR code (ISO/IEC 18004), for a telephone or a scanner at the counter."""

import re

from diagtree.report.sheets.blocks import Piece, bound
from diagtree.report.sheets.marks import Frame, Mark, Span
from diagtree.report.sheets.setting import LABEL, STRONG, TEXT, fill_groups, line, width

MOST = 300  # characters: more would be larger than the heading
_QUIET = 4  # squares left white around it, as the standard wants
_SQUARE = 1.25  # points, 0.44 mm: the least that a telephone reads from paper (from memory)
_SIDE = 74.0  # points: no code is smaller
_COLUMNS = 6  # groups of letters in a row
_BETWEEN = 11.0  # from a group to the next
_LINES = 3  # of letters below it; a longer text stands elsewhere


def side(text: str) -> float:
    """How wide and high the code of a text is, with the white around it."""
    return max(_SIDE, (len(modules(text)) + 2 * _QUIET) * _SQUARE)


def lettered(text: str) -> bool:
    """Whether the text stands below its code; one that does not must be printed elsewhere."""
    return 0 < len(text) <= MOST and len(fill_groups(text, LABEL, side(text))) <= _LINES


def code(text: str, left: float) -> Piece:
    """The code, `side(text)` wide, with the same text in letters below where it is short."""
    grid = modules(text)
    wide = side(text)
    square = wide / (len(grid) + 2 * _QUIET)
    marks: list[Mark] = []
    for row, cells in enumerate(grid):
        for start, end in _runs(cells):
            across, down = left + (_QUIET + start) * square, (_QUIET + row) * square
            marks.append(Frame(across, down, (end - start) * square, square, 0, 0.0))
    said = fill_groups(text, LABEL, wide) if lettered(text) else []
    for at, one in enumerate(said):
        shift = (wide - width(one, LABEL)) / 2
        marks.append(line(one, LABEL, Span(left + shift, wide - shift), wide - square + at * LABEL.leading))
    return Piece(wide + len(said) * LABEL.leading + 2, tuple(marks))


def spelled(label: str, text: str, span: Span) -> list[Piece]:
    """The text in letters, to be typed: its groups in columns, six of them in a row, none broken if it fits.

    Args:
        label: what stands before it.
        text: groups with dashes between them.
        span: of the sheet's text.
    """
    room = span.indented(width(label, STRONG) + 6)
    groups = [one for one in re.split(r"(?<=-)", text) if one]
    wide = max((width(one, TEXT) for one in groups), default=0.0) + _BETWEEN
    columns = min(_COLUMNS, int(room.room // wide))
    if columns:
        rows = [groups[at : at + columns] for at in range(0, len(groups), columns)]
    else:
        rows, wide = [[one] for one in fill_groups(text, TEXT, room.room)], room.room
    pieces = []
    for number, row in enumerate(rows):
        marks: list[Mark] = [line(label, STRONG, Span(span.left, room.left - span.left), 0)] if not number else []
        marks += [line(one, TEXT, Span(room.left + at * wide, wide), 0) for at, one in enumerate(row)]
        pieces.append(Piece(STRONG.leading + (2 if number == len(rows) - 1 else 0), tuple(marks)))
    return list(bound(pieces))


def modules(text: str) -> list[list[bool]]:
    """The squares of the code, row by row: black or not. Raises ValueError where the text is too long for one."""
    if not 0 < len(text) <= MOST:
        message = f"a code on a sheet holds 1 to {MOST} characters, not {len(text)}"
        raise ValueError(message)
    from reportlab.graphics.barcode.qr import QrCodeWidget

    made = QrCodeWidget(text, barLevel="M").qr
    made.make()
    size = made.getModuleCount()
    return [[bool(made.isDark(row, column)) for column in range(size)] for row in range(size)]


def _runs(cells: list[bool]) -> list[tuple[int, int]]:
    """Start and end of each stretch of black squares: one rectangle has no seams."""
    edges = [at for at in range(len(cells) + 1) if (at < len(cells) and cells[at]) != (at > 0 and cells[at - 1])]
    return list(zip(edges[::2], edges[1::2], strict=True))
