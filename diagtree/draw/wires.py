"""The lines of a drawing: upright and level strokes with rounded corners."""

import math
from collections.abc import Sequence

from diagtree.draw.picture import Curve
from diagtree.draw.shape import Point

_ROUND = 4.0  # radius of a corner, in points


def route(*points: Point) -> Curve:
    """A line through some points, its corners rounded. Points that repeat are passed over."""
    kept, lengths = _kept(points)
    curve: list[Point] = [kept[0]]
    here = kept[0]
    for at, length in enumerate(lengths, 1):
        corner = kept[at]
        if at == len(lengths):
            curve += (here, corner, corner)
            break
        further = kept[at + 1]
        radius = min(_ROUND, length / 2, lengths[at] / 2)
        stop, start = _towards(corner, here, radius), _towards(corner, further, radius)
        curve += (here, stop, stop, corner, corner, start)
        here = start
    return tuple(curve)


def _kept(points: Sequence[Point]) -> tuple[list[Point], list[float]]:
    """The points, and how far each is from the one before."""
    kept, lengths = [points[0]], []
    for point in points[1:]:
        length = math.dist(point, kept[-1])
        if length > 0.01:  # points: nobody sees it
            kept.append(point)
            lengths.append(length)
    return (kept, lengths) if lengths else ([points[0], points[-1]], [0.0])


def _towards(start: Point, end: Point, by: float) -> Point:
    share = by / math.dist(start, end)
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share
