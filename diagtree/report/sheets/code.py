"""A short text as a QR code (ISO/IEC 18004), for a telephone or a scanner at the counter."""

from diagtree.report.sheets.blocks import Piece
from diagtree.report.sheets.marks import Frame, Mark, Span
from diagtree.report.sheets.setting import LABEL, fill, line, width

MOST = 300  # characters: more would be larger than the heading
_QUIET = 4  # squares left white around it, as the standard wants
_SQUARE = 1.25  # points, 0.44 mm: the least that a telephone reads from paper (from memory)
_SIDE = 74.0  # points: no code is smaller
_LINES = 3  # of letters below it; a longer text stands elsewhere


def side(text: str) -> float:
    """How wide and high the code of a text is, with the white around it."""
    return max(_SIDE, (len(modules(text)) + 2 * _QUIET) * _SQUARE)


def lettered(text: str) -> bool:
    """Whether the text stands below its code; one that does not must be printed elsewhere."""
    return 0 < len(text) <= MOST and len(fill(text, LABEL, side(text))) <= _LINES


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
    said = fill(text, LABEL, wide) if lettered(text) else []
    for at, one in enumerate(said):
        shift = (wide - width(one, LABEL)) / 2
        marks.append(line(one, LABEL, Span(left + shift, wide - shift), wide - square + at * LABEL.leading))
    return Piece(wide + len(said) * LABEL.leading + 2, tuple(marks))


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
