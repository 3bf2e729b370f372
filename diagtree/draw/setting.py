"""Type sizes, and words set in lines before anybody knows where they will stand."""

from collections.abc import Iterable
from dataclasses import dataclass

from diagtree.draw.bidi import joined
from diagtree.draw.font import clean, measured
from diagtree.draw.picture import Role, Word

# The baseline's place in a line, so that what a face inks above and below is centred in the leading.
_BASELINE = 0.935
_LEADING = 1.18  # from baseline to baseline: just what a face inks above and below


@dataclass(frozen=True, slots=True)
class Sizes:
    """Type sizes in points, before the page is scaled."""

    title: float = 18.0
    heading: float = 7.0
    question: float = 10.0
    outcome: float = 8.6
    answer: float = 7.5
    text: float = 6.0
    small: float = 5.1


# One set for every paper, so that a tree is laid out once and each box has one address. On a wall 24, 18 and 12 points
# are asked for; these stand in the same proportion, and what nobody asks for is a little smaller than it could be.
SIZES = Sizes()


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
        text = joined(clean(part.text))
        if not text:
            continue
        top += part.space if rows else 0.0
        for line, width in measured(text, part.size, limit, part.bold):
            rows.append(_Row(line, part.role, part.size, part.bold, width, top))
            top += part.size * _LEADING
    return Block(tuple(rows), max((row.width for row in rows), default=0.0), top)
