"""Type sizes, and words set in lines before anybody knows where they will stand."""

from collections.abc import Iterable
from dataclasses import dataclass

from diagtree.draw.font import LEADING, clean, face, wrap
from diagtree.draw.picture import Role, Word

# The baseline's place in a line, so that what a face inks above and below is centred in the leading.
_BASELINE = 0.97


@dataclass(frozen=True, slots=True)
class Sizes:
    """Type sizes and clear space in points, before the page is scaled."""

    title: float = 20.0
    heading: float = 10.0
    question: float = 10.0
    outcome: float = 10.0
    answer: float = 9.0
    text: float = 8.0
    small: float = 7.0
    gap: float = 16.0  # between neighbours
    row_gap: float = 18.0  # between a row of boxes and the words of their answers


NEAR = Sizes()  # read at arm's length: small print must not be much smaller than the rest
WALL = Sizes(
    answer=8.0, text=7.0, small=5.5, gap=10.0, row_gap=12.0
)  # read from across the room: questions as large as the sheet allows


@dataclass(frozen=True, slots=True)
class Part:
    """A paragraph in one size of type. `space` is what is left clear above it, in points."""

    text: str
    role: Role
    size: float
    bold: bool = False
    space: float = 0.0


@dataclass(frozen=True, slots=True)
class _Row:
    text: str
    role: Role
    size: float
    bold: bool
    width: float
    top: float


@dataclass(frozen=True, slots=True)
class Block:
    """Lines of words, measured, one below the other. In points."""

    rows: tuple[_Row, ...]
    width: float
    height: float

    def centred(self, x: float, y: float) -> tuple[Word, ...]:
        """The words about a centre, each line centred."""
        top = y - self.height / 2
        return tuple(_word(row, x - row.width / 2, top) for row in self.rows)

    def from_left(self, left: float, top: float) -> tuple[Word, ...]:
        """The words below and to the right of a corner."""
        return tuple(_word(row, left, top) for row in self.rows)


def _word(row: _Row, left: float, top: float) -> Word:
    baseline = top + row.top + row.size * _BASELINE
    return Word(row.text, left, baseline, row.width, row.size, row.role, row.bold)


def set_parts(parts: Iterable[Part], limit: float) -> Block:
    """Break paragraphs into lines no wider than `limit` and stack them. Empty paragraphs are left out."""
    rows: list[_Row] = []
    top = 0.0
    for part in parts:
        text = clean(part.text)
        if not text:
            continue
        top += part.space if rows else 0.0
        for line in wrap(text, part.size, limit, bold=part.bold):
            width = face(bold=part.bold).width(line, part.size)
            rows.append(_Row(line, part.role, part.size, part.bold, width, top))
            top += part.size * LEADING
    return Block(tuple(rows), max((row.width for row in rows), default=0.0), top)
