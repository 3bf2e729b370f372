"""Pieces of a tree side by side and below one another, close together.

The best-fit rule for strips: at the lowest gap in the ground, lay the piece that fills its width best, and where none
goes in, level the gap up (Burke, Kendall and Whitwell, Operations Research 52, 2004, from memory). A piece's own upper
outline fits into what lies there already. The first piece lies first, in the top left corner: it holds the start.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from operator import itemgetter

from diagtree.draw.pieces import Piece

CELL = 6.0  # how finely outlines are followed, in points
APART = 8.0  # between pieces
LEVEL = 14.0  # steps in the ground below this make one gap
_AHEAD = 60  # pieces looked at: what is met far later stays lower down
_ROUNDING = 1e-9  # share by which a bound is loosened: what just fits is never given up for a last digit


@dataclass(frozen=True, slots=True)
class Packed:
    """Where each piece's top left corner is, in their order, and what they take together. In points."""

    corners: tuple[tuple[float, float], ...]
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Outline:
    """A piece as seen from above, cell by cell, and from below, step by step: the depth of its edges."""

    tops: tuple[float, ...]
    top: float  # the highest of them
    bottoms: tuple[float, ...]  # of the lower edge: the depths of its steps, from left to right
    begins: tuple[int, ...]  # the cell at which each of them begins
    width: float
    depth: float  # the deepest of its lower edge
    area: float  # by how much it raises the ground at least, summed over cells
    mass: float  # its lower edge, summed over cells


def outline(piece: Piece) -> Outline:
    """A piece's outline, with the space to its right and below it that it keeps clear."""
    cells = int((piece.width + APART) // CELL) + 1
    tops, bottoms = [piece.height] * cells, [0.0] * cells
    spans = [
        (top, bottom + APART, int(left // CELL), min(cells, int((right + APART) // CELL) + 1))
        for left, top, right, bottom in piece.rects
    ]
    # The highest is laid on last, and from below the lowest.
    for top, _, first, last in sorted(spans, key=itemgetter(0), reverse=True):
        tops[first:last] = [top] * (last - first)
    for _, bottom, first, last in sorted(spans, key=itemgetter(1)):
        bottoms[first:last] = [bottom] * (last - first)
    begins = tuple(at for at in range(cells) if not at or bottoms[at] != bottoms[at - 1])
    steps, mass = tuple(bottoms[at] for at in begins), sum(bottoms)
    return Outline(tuple(tops), min(tops), steps, begins, piece.width, max(bottoms), mass - sum(tops), mass)


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


def cells_of(outlines: Sequence[Outline], width: float) -> int:
    """How many cells a field of this width has, or the widest piece where that is more."""
    return max([int((width + APART) // CELL), *(len(one.tops) for one in outlines)])


def pack(outlines: Sequence[Outline], width: float, rule: Rule = CALM[0]) -> Packed:
    """Pack pieces into a field of this width, or of the widest piece's where that is more."""
    packed = pack_within(outlines, cells_of(outlines, width), rule)
    assert packed is not None, "nothing is given up where nothing bounds it"
    return packed


def pack_within(
    outlines: Sequence[Outline], cells: int, rule: Rule, widest: float = math.inf, highest: float = math.inf
) -> Packed | None:
    """The same for a number of cells; None as soon as it is sure to be wider or higher than that, in points."""
    return _Packing(outlines, cells, rule, widest, highest).run()


class _Packing:
    """Pieces on their way into a field.

    The ground is kept as runs of cells that lie equally deep: their depths, and where each begins. Behind the last
    stands one that is infinitely high: the field's right edge, and by Python's way of counting its left edge too.
    """

    def __init__(self, outlines: Sequence[Outline], cells: int, rule: Rule, widest: float, highest: float) -> None:
        self.outlines, self.nearly = outlines, rule.nearly
        self.cells = [len(one.tops) for one in outlines]
        self.measures = [rule.measure(one) for one in outlines]
        self.depths, self.begins = [0.0, math.inf], [0, cells]
        self.corners: dict[int, tuple[float, float]] = {}
        self.waiting = list(range(len(outlines)))
        self.across, self.lower = 0.0, 0.0
        self.widest, self.deepest = widest * (1 + _ROUNDING), (highest + APART) * (1 + _ROUNDING)
        # What the ground and the pieces that wait take together. Ground that is covered is lost, so this only grows.
        self.taken = sum(one.area for one in outlines)
        self.most = self.deepest * cells

    def run(self) -> Packed | None:
        """Lay piece after piece."""
        while self.waiting:
            first, last = self._gap(min(map(self.cells.__getitem__, self.waiting[:_AHEAD])))
            if self.taken > self.most:
                return None
            found = self._fitting(self.begins[last] - self.begins[first]) if self.corners else self.waiting[0]
            self._lay(found, first, last)
            if self.lower > self.deepest or self.across > self.widest:
                return None
        corners = tuple(self.corners[at] for at in range(len(self.outlines)))
        return Packed(corners, self.across, self.lower - APART)

    def _gap(self, least: int) -> tuple[int, int]:
        """The first and the last run but one of the lowest gap, once those with fewer cells than that are filled."""
        depths, begins = self.depths, self.begins
        while True:
            low = min(depths)
            first = depths.index(low)  # nothing before it is as low, but it may be nearly
            last, level = first + 1, low + LEVEL
            while depths[last] < level:
                last += 1
            while depths[first - 1] < level:
                first -= 1
            if begins[last] - begins[first] >= least:
                return first, last
            self._level(first, last)

    def _level(self, first: int, last: int) -> None:
        """Fill a gap up to its lower neighbour, and make it a part of that."""
        depths, begins = self.depths, self.begins
        left, right = depths[first - 1], depths[last]
        height = min(left, right)
        if height == math.inf:
            height = max(depths[first:last]) + CELL
            depths.insert(last, height)  # as if it were the neighbour
            begins.insert(last, begins[last])
        for at in range(first, last):
            self.taken += (height - depths[at]) * (begins[at + 1] - begins[at])
        del depths[first:last]
        gone = first if height == left else first + 1  # the left one reaches further, or the right one begins earlier
        del begins[gone : gone + last - first]

    def _fitting(self, room: int) -> int:
        """The best piece that goes into a gap, by its measure; of those nearly as good the earliest."""
        able = [at for at in self.waiting[:_AHEAD] if self.cells[at] <= room]
        enough = self.nearly * max(map(self.measures.__getitem__, able))
        return next(at for at in able if self.measures[at] >= enough)

    def _lay(self, found: int, first: int, last: int) -> None:
        """Lay a piece into a gap, beside its higher neighbour, so that what is left of the gap stays in one part."""
        one, depths, begins = self.outlines[found], self.depths, self.begins
        many = len(one.tops)
        if depths[first - 1] >= depths[last]:
            at = begins[first]
            last = self._parted(at + many, first)
        else:
            at, behind = begins[last] - many, len(begins) - last
            first = self._parted(at, first)
            last = len(begins) - behind
        if last - first == 1:
            lies = depths[first]
            depth, covered = max(0.0, lies - one.top), lies * many
        else:
            depth, covered = self._rest(one.tops, first, last)
        depths[first:last] = [depth + bottom for bottom in one.bottoms]
        begins[first:last] = [at + begin for begin in one.begins]
        self.taken += one.mass + many * depth - one.area - covered
        self.corners[found] = (at * CELL, depth)
        self.waiting.remove(found)
        self.across = max(self.across, at * CELL + one.width)
        self.lower = max(self.lower, depth + one.depth)

    def _rest(self, tops: tuple[float, ...], first: int, last: int) -> tuple[float, float]:
        """How deep a piece comes to rest on some runs, and what they take."""
        begins, depth, covered = self.begins, 0.0, 0.0
        at = begins[first]
        for run in range(first, last):
            lies, begin, end = self.depths[run], begins[run] - at, begins[run + 1] - at
            depth = max(depth, lies - min(tops[begin:end]))
            covered += lies * (end - begin)
        return depth, covered

    def _parted(self, cell: int, run: int) -> int:
        """The run that begins at a cell, at `run` or after it; a run that goes over it is parted there."""
        begins = self.begins
        while begins[run] < cell:
            run += 1
        if begins[run] > cell:
            begins.insert(run, cell)
            self.depths.insert(run, self.depths[run - 1])
        return run
