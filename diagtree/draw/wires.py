"""The lines of a drawing: upright and level strokes with rounded corners."""

import math
from collections.abc import Sequence

from diagtree.draw.picture import Curve
from diagtree.draw.shape import Point

_ROUND = 4.0  # radius of a corner, in points


def route(*points: Point) -> Curve:
    """A line through some points, its corners rounded. Points that repeat are passed over."""
    kept = _kept(points)
    curve: list[Point] = [kept[0]]
    here = kept[0]
    for at in range(1, len(kept)):
        corner = kept[at]
        further = kept[at + 1] if at + 1 < len(kept) else None
        radius = min(_ROUND, _half(kept, at), math.dist(corner, further) / 2) if further else 0.0
        stop = _towards(corner, here, radius)
        curve += [here, stop, stop]
        here = stop
        if further and radius:
            start = _towards(corner, further, radius)
            curve += [corner, corner, start]
            here = start
    return tuple(curve)


def _half(points: Sequence[Point], at: int) -> float:
    return math.dist(points[at], points[at - 1]) / 2


def _kept(points: Sequence[Point]) -> list[Point]:
    kept = [points[0]]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > 0.01:  # points: nobody sees it
            kept.append(point)
    return kept if len(kept) > 1 else [points[0], points[-1]]


def _towards(start: Point, end: Point, by: float) -> Point:
    length = math.dist(start, end)
    share = by / length if length else 0.0
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share
