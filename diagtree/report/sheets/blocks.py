"""Pieces of a sheet: paragraphs, boxes to tick, frames, tables. Each piece stays whole on its page."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from diagtree.report.sheets.marks import Frame, Mark, Section, Span, Stroke, Words
from diagtree.report.sheets.setting import HEADING, STRONG, TEXT, Style, fill, lines, width

MOST_LINES = 14  # of one piece: a longer text goes on in another, which may stand on the next page
TICK = 8.0  # side of a box to tick
TICK_ROOM = 14.0  # with what is clear behind it
_GAP = 3.0  # between the borders of a double frame
_PAD = 5.0  # between a frame and its words
_SLACK = 3.0  # that the last line of a paragraph leaves clear below itself already


@dataclass(frozen=True, slots=True)
class Piece:
    """Ink that stays together. Marks are placed from the piece's own top left corner.

    Attributes:
        height: with what is clear above and below, in points.
        stays: must not stand last on its page while something follows in its group or behind it.
    """

    height: float
    marks: tuple[Mark, ...] = ()
    stays: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Pieces that belong together.

    Attributes:
        pieces: in order.
        again: printed once more at the top of each page that the group goes on on.
        whole: kept on one page where a page can hold it; else it is broken wherever it meets the end of a page.
    """

    pieces: tuple[Piece, ...]
    again: tuple[Piece, ...] = ()
    whole: bool = False


def stack(pieces: Iterable[Piece]) -> Piece:
    """Pieces below one another as one."""
    marks: list[Mark] = []
    down = 0.0
    for piece in pieces:
        marks += (mark.moved(0, down) for mark in piece.marks)
        down += piece.height
    return Piece(down, tuple(marks))


def beside(*pieces: Piece) -> Piece:
    """Pieces with one top."""
    return Piece(max(piece.height for piece in pieces), tuple(mark for piece in pieces for mark in piece.marks))


def space(height: float, *, stays: bool = False) -> Piece:
    """Nothing."""
    return Piece(height, (), stays)


def staying(pieces: Iterable[Piece]) -> Iterator[Piece]:
    """The same, each bound to the one that follows."""
    return (replace(piece, stays=True) for piece in pieces)


def bound(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """The same with its first two and its last two pieces bound, so that none stands alone."""
    last = len(pieces) - 2
    return tuple(
        replace(piece, stays=True) if at in {0, last} and at <= last else piece for at, piece in enumerate(pieces)
    )


def text(said: str, style: Style, span: Span, *, above: float = 0.0, below: float = 0.0) -> list[Piece]:
    """A paragraph. No text, no piece."""
    if not said:
        return []
    chunks = _chunks(fill(said, style, span.room))
    return [
        Piece(
            (above if first else 0) + len(chunk) * style.leading + (below if last else 0),
            tuple(lines(chunk, style, span, above if first else 0)),
            stays=first and not last,
        )
        for chunk, first, last in _ends(chunks)
    ]


def heading(said: str, span: Span) -> list[Piece]:
    """A section's heading over a line; it stays with what follows."""
    made = stack(text(said, HEADING, span, above=10, below=1))
    rule = Stroke(span.left, made.height, span.right, made.height, 0.8)
    return [Piece(made.height + 4, (Section(said, span.left, 0), *made.marks, rule), stays=True)]


def tick(left: float, style: Style = TEXT, top: float = 0.0) -> Frame:
    """A box to tick, level with the first line of a text in this style."""
    return Frame(left, top + style.rise - TICK + 0.5, TICK, TICK, 0.8)


def ticked(said: str, span: Span, style: Style = TEXT, *, below: float = 2.0) -> list[Piece]:
    """A paragraph with a box to tick before it."""
    first, *others = text(said, style, span.indented(TICK_ROOM), below=below) or [Piece(style.leading + below)]
    return [replace(first, marks=(tick(span.left, style), *first.marks)), *others]


def hung(label: str, said: str, style: Style, span: Span, *, below: float = 2.0) -> list[Piece]:
    """A paragraph behind a bold label; further lines begin under its first."""
    strong = Style(style.size, bold=True)
    indent = min(width(label, strong) + 0.4 * style.size, span.room / 2)
    first, *others = text(said, style, span.indented(indent), below=below) or [Piece(style.leading + below)]
    return [replace(first, marks=(*lines([label], strong, Span(span.left, indent), 0), *first.marks)), *others]


def framed(inside: Sequence[Piece], span: Span, *, double: bool = False, pen: float = 0.9) -> list[Piece]:
    """Pieces in a frame; they were set in `span.inset(inset(double=...))`. Where they are parted, each has a frame."""
    edge = inset(double=double)
    made = []
    for some in _together(inside):
        held = stack(some)
        marks: list[Mark] = [mark.moved(0, edge) for mark in held.marks]
        height = held.height + 2 * edge - _SLACK
        marks.append(Frame(span.left, 0, span.room, height, pen))
        if double:
            marks.append(Frame(span.left + _GAP, _GAP, span.room - 2 * _GAP, height - 2 * _GAP, pen))
        made.append(Piece(height + 5, tuple(marks)))
    return made


def inset(*, double: bool = False) -> float:
    """How far words stand inside a frame's outer border."""
    return _PAD + (_GAP if double else 0)


def _together(pieces: Sequence[Piece], most: float = 380.0) -> Iterator[list[Piece]]:
    """Pieces in runs that any page can hold."""
    run: list[Piece] = []
    for piece in pieces:
        if run and sum(one.height for one in run) + piece.height > most:
            yield run
            run = []
        run.append(piece)
    if run:
        yield run


def _chunks(said: list[str]) -> list[list[str]]:
    """Lines in stretches that one piece may hold, none of them a single line."""
    if len(said) <= MOST_LINES:
        return [said]
    most = MOST_LINES - 2
    made = [said[start : start + most] for start in range(0, len(said), most)]
    if len(made[-1]) == 1:
        made[-2:] = [made[-2] + made[-1]]
    return made


def _ends(chunks: list[list[str]]) -> Iterator[tuple[list[str], bool, bool]]:
    """Each with whether it is the first, and the last."""
    return ((chunk, at == 0, at == len(chunks) - 1) for at, chunk in enumerate(chunks))


def blank(label: str, span: Span, top: float, *, value: str = "", style: Style = TEXT) -> list[Mark]:
    """A small label, and behind it the value, or a line to write on, down to a fixed height of one row."""
    small = Style(7.5)
    named: list[Words] = lines([label], small, span, top + style.rise - small.rise)
    rest = span.indented(width(label, small) + 4)
    if value:
        return [*named, *lines([value], style, rest, top)]
    down = top + style.rise + 2
    return [*named, Stroke(rest.left, down, span.right, down, 0.5)]


def strong(said: str, span: Span, *, above: float = 3.0, below: float = 1.0) -> list[Piece]:
    """A line in bold that stays with what follows."""
    return list(staying(text(said, STRONG, span, above=above, below=below)))
