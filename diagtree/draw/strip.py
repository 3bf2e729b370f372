"""The clear strips between rows of boxes, and the lines that swing across in them.

The engine leads all lines of a box through one point, where dashes drown between solid lines, and its curves to a near
box may dip into it. Its places leave a clear strip between one row and the next: a line between neighbouring rows runs
straight down to the strip, across inside it, and straight down again, and meets nothing on its way.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagtree.draw.picture import Curve
from diagtree.draw.shape import SLANT, Extent, Point, Shape

_APART = 12.0  # between two lines that leave one question, at most
_SAME_ROW = 0.6  # centres of one row agree to the engine's rounding


@dataclass(frozen=True, slots=True)
class Strips:
    """The rows of a drawing, from the first. In points; `across`: rows are columns, and down is to the right."""

    centres: tuple[float, ...]
    tops: tuple[float, ...]
    bottoms: tuple[float, ...]
    across: bool

    def row(self, extent: Extent) -> int:
        """The row in which a box stands."""
        return bisect_left(self.centres, _along(extent, across=self.across).centre[1] - _SAME_ROW)


def find_strips(placed: Iterable[Extent], *, across: bool) -> Strips:
    """Sort everything that was placed into rows."""
    rows: list[list[Extent]] = []
    for extent in sorted((_along(found, across=across) for found in placed), key=lambda found: found.centre[1]):
        if rows and extent.centre[1] - rows[-1][0].centre[1] <= _SAME_ROW:
            rows[-1].append(extent)
        else:
            rows.append([extent])
    return Strips(
        tuple(row[0].centre[1] for row in rows),
        tuple(min(extent.top for extent in row) for row in rows),
        tuple(max(extent.bottom for extent in row) for row in rows),
        across,
    )


def swing(strips: Strips, source: Extent, offset: float, target: Extent, tip: float = 0.0) -> Curve | None:
    """A curve from the lower side of one box to the upper side of another in the next row.

    Args:
        strips: the rows.
        source: where the line starts.
        offset: how far beside the middle of that side.
        target: where it ends, in the middle of its upper side.
        tip: length of the arrowhead, for which the curve stops short.

    Returns:
        None where the other box is not in the next row, or the strip leaves no room.
    """
    row = strips.row(source)
    if strips.row(target) != row + 1:
        return None
    upper, lower = strips.bottoms[row], strips.tops[row + 1] - tip
    if lower - upper < 1.0:
        return None
    start, end = _along(source, across=strips.across), _along(target, across=strips.across)
    down = _moves((start.centre[0] + offset, start.bottom), (end.centre[0], end.top - tip), upper, lower)
    return tuple((y, x) for x, y in down) if strips.across else down


def _moves(start: Point, end: Point, upper: float, lower: float) -> Curve:
    high, low, middle = (start[0], upper), (end[0], lower), (upper + lower) / 2
    return (start, start, high, high, (start[0], middle), (end[0], middle), low, low, end, end)


def offsets(strips: Strips, source: Extent, shape: Shape, targets: Sequence[Extent]) -> list[float]:
    """How far beside the middle each line leaves a question, so that none crosses another on its way.

    All leave at the point where the outline has one on that side.
    """
    pointed = shape == "diamond" or strips.across
    flat = 0.0 if pointed else source.width - 2 * SLANT
    step = min(_APART, flat * 0.8 / max(1, len(targets) - 1))
    order = sorted(range(len(targets)), key=lambda number: _along(targets[number], across=strips.across).centre[0])
    places = {number: position for position, number in enumerate(order)}
    return [(places[number] - (len(targets) - 1) / 2) * step for number in range(len(targets))]


def _along(extent: Extent, *, across: bool) -> Extent:
    return Extent(extent.top, extent.left, extent.height, extent.width) if across else extent
