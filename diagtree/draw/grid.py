"""The grid on a drawing's margin: letters along its width, numbers down its height, an address for each box."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

from diagtree.draw.shape import Point

_COLUMN = 150.0  # about as wide as a box
_ROWS = (110.0, 80.0, 60.0, 45.0, 34.0, 26.0, 20.0)  # the first in which no two boxes share an address
_NARROWER = (1.0, 0.7, 0.5, 0.35)
_MOST = 99  # rows: a number has two digits
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # I and O are read as 1 and 0


@dataclass(frozen=True, slots=True)
class Grid:
    """Cells of equal size. In points, from the field's top left corner."""

    width: float
    height: float
    columns: int
    rows: int
    addresses: Mapping[str, str]  # of each box, by its middle

    def letters(self) -> tuple[tuple[str, float], ...]:
        """The columns' names with their middles."""
        return tuple((_letters(at), (at + 0.5) * self.width / self.columns) for at in range(self.columns))

    def numbers(self) -> tuple[tuple[str, float], ...]:
        """The rows' names with their middles."""
        return tuple((str(at + 1), (at + 0.5) * self.height / self.rows) for at in range(self.rows))


def make_grid(width: float, height: float, middles: Mapping[str, Point]) -> Grid:
    """The coarsest grid of those tried that tells the boxes apart; the finest where none does."""
    tried = None
    for row, column in product(_ROWS, _NARROWER):
        columns, rows = max(1, round(width / (_COLUMN * column))), min(_MOST, max(1, round(height / row)))
        tried = Grid(width, height, columns, rows, _addresses(width / columns, height / rows, middles))
        if len(set(tried.addresses.values())) == len(middles):
            break
    assert tried is not None
    return tried


def _addresses(across: float, down: float, middles: Mapping[str, Point]) -> Mapping[str, str]:
    return {name: f"{_letters(int(x // across))}{int(y // down) + 1}" for name, (x, y) in middles.items()}


def _letters(number: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    name = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, len(_LETTERS))
        name = _LETTERS[rest] + name
    return name
