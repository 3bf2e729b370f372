"""Pieces of a tree side by side and below one another, close together.

The best-fit rule for strips: at the lowest gap in the ground, lay the piece that fills its width best, and where none
goes in, level the gap up (Burke, Kendall and Whitwell, Operations Research 52, 2004, from memory). A piece's own upper
outline fits into what lies there already. The first piece lies first, in the top left corner: it holds the start.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagtree.draw.pieces import Piece

CELL = 6.0  # how finely outlines are followed, in points
APART = 9.0  # between pieces
LEVEL = 14.0  # steps in the ground below this make one gap
_AHEAD = 60  # pieces looked at: what is met far later stays lower down


@dataclass(frozen=True, slots=True)
class Packed:
    """Where each piece's top left corner is, in their order, and what they take together. In points."""

    corners: tuple[tuple[float, float], ...]
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Outline:
    """A piece as seen from above and from below, cell by cell: the depth of its upper and of its lower edge."""

    tops: tuple[float, ...]
    bottoms: tuple[float, ...]
    width: float
    depth: float  # the deepest of its lower edge


def outline(piece: Piece) -> Outline:
    """A piece's outline, with the space to its right and below it that it keeps clear."""
    cells = int((piece.width + APART) // CELL) + 1
    tops, bottoms = [piece.height] * cells, [0.0] * cells
    for left, top, right, bottom in piece.rects:
        below = bottom + APART
        for cell in range(int(left // CELL), min(cells, int((right + APART) // CELL) + 1)):
            tops[cell] = min(tops[cell], top)
            bottoms[cell] = max(bottoms[cell], below)
    return Outline(tuple(tops), tuple(bottoms), piece.width, max(bottoms))


@dataclass(frozen=True, slots=True)
class Rule:
    """Which piece fills a gap best: the largest by some measure, or the earliest of those nearly as large."""

    measure: Callable[[Outline], float]
    nearly: float


_MEASURES: tuple[Callable[[Outline], float], ...] = (
    lambda one: len(one.tops),
    lambda one: one.depth,
    lambda one: len(one.tops) * one.depth,
)
# For those who read from the top the earlier piece goes in first where it can; where room is short, the best one.
CALM = tuple(Rule(measure, 0.8) for measure in _MEASURES)
CLOSE = tuple(Rule(measure, 1.0) for measure in _MEASURES)


def pack(outlines: Sequence[Outline], width: float, rule: Rule = CALM[0]) -> Packed:
    """Pack pieces into a field of this width, or of the widest piece's where that is more."""
    cells = max([int((width + APART) // CELL), *(len(one.tops) for one in outlines)])
    ground = [0.0] * cells
    corners: dict[int, tuple[float, float]] = {}
    sizes = [(len(one.tops), rule.measure(one)) for one in outlines]
    waiting = list(range(len(outlines)))
    while waiting:
        left, right = _gap(ground)
        found = _fitting(sizes, waiting, right - left, rule.nearly) if corners else waiting[0]
        if found is None:
            _level(ground, left, right)
            continue
        one = outlines[found]
        many = len(one.tops)
        # Beside the higher neighbour, so that what is left of the gap stays in one part.
        at = left if _height(ground, left - 1) >= _height(ground, right) else right - many
        depth = max(0.0, *map(float.__sub__, ground[at : at + many], one.tops))
        ground[at : at + many] = [depth + bottom for bottom in one.bottoms]
        corners[found] = (at * CELL, depth)
        waiting.remove(found)
    lower = max(depth + outlines[at].depth for at, (_, depth) in corners.items())
    across = max(corner[0] + outlines[at].width for at, corner in corners.items())
    return Packed(tuple(corners[at] for at in range(len(outlines))), across, lower - APART)


def _gap(ground: list[float]) -> tuple[int, int]:
    """The first and the last cell but one of the lowest gap, as far as it is about level."""
    low = min(ground)
    left = ground.index(low)  # nothing before it is as low, but it may be nearly
    level = low + LEVEL
    right, many = left + 1, len(ground)
    while right < many and ground[right] < level:
        right += 1
    while left and ground[left - 1] < level:
        left -= 1
    return left, right


def _fitting(sizes: Sequence[tuple[int, float]], waiting: list[int], room: int, nearly: float) -> int | None:
    """The best piece that goes into a gap, by cells and measure of each; of those nearly as good the earliest."""
    able = [at for at in waiting[:_AHEAD] if sizes[at][0] <= room]
    if not able:
        return None
    enough = nearly * max(sizes[at][1] for at in able)
    return min(at for at in able if sizes[at][1] >= enough)


def _level(ground: list[float], left: int, right: int) -> None:
    """Fill a gap up to its lower neighbour."""
    edges = [ground[at] for at in (left - 1, right) if 0 <= at < len(ground)]
    height = min(edges) if edges else max(ground[left:right]) + CELL
    ground[left:right] = [max(height, depth) for depth in ground[left:right]]


def _height(ground: list[float], at: int) -> float:
    return ground[at] if 0 <= at < len(ground) else float("inf")
