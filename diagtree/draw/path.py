"""Outlines, curves and arrowheads as pen strokes, and the pens: one source for every painter."""

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from diagtree.draw.picture import Box, Line, Word
from diagtree.draw.shape import Point, polygon, radius

# Shares of white: 0 is black. The greys are calm on screen and stay apart in a copy.
BLACK = 0.0
LINE_GREY = 0.25
SMALL_GREY = 0.3
SHADE = 0.93
_DIM = 0.8  # on a ground darker than this, grey type has a contrast below 4.5 to 1

PEN = 0.9  # natural widths, in points
HEAVY_PEN = 2.2
INK_PEN = 3.2  # of the path that was taken
LINE_PEN = 0.8
DASH = (3.0, 2.0)
INNER = 2.0  # from the outer to the inner line of a double border
_ARROW_HALF = 0.38  # half an arrowhead's width, as a share of its length
_ARC = 4 / 3 * (math.sqrt(2) - 1)  # a quarter circle as one cubic Bezier curve

Segment: TypeAlias = tuple[Literal["M", "L", "C", "Z"], tuple[Point, ...]]


@dataclass(frozen=True, slots=True)
class Path:
    """Pen moves: M to a point, L line to one, C curve by three, Z back to the start."""

    segments: tuple[Segment, ...]


def outlines(box: Box, scale: float) -> tuple[Path, ...]:
    """The outline of a box; for a double border also the inner one."""
    inner = (outline(box, scale, INNER * scale),) if box.border == "double" else ()
    return (outline(box, scale, 0.0), *inner)


def outline(box: Box, scale: float, inset: float) -> Path:
    """The outline of a box, moved inwards."""
    extent = box.extent.shrunk(inset)
    if box.shape == "circle":
        return _rounded(extent.left, extent.top, extent.right, extent.bottom, extent.width / 2)
    if box.shape == "terminator":
        return _rounded(extent.left, extent.top, extent.right, extent.bottom, radius(extent, scale))
    start, *rest = polygon(box.shape, extent, scale)
    return Path((("M", (start,)), *(("L", (point,)) for point in rest), ("Z", ())))


def _rounded(left: float, top: float, right: float, bottom: float, r: float) -> Path:
    k = r * (1 - _ARC)  # from the corner to a control point
    return Path(
        (
            ("M", ((left + r, top),)),
            ("L", ((right - r, top),)),
            ("C", ((right - k, top), (right, top + k), (right, top + r))),
            ("L", ((right, bottom - r),)),
            ("C", ((right, bottom - k), (right - k, bottom), (right - r, bottom))),
            ("L", ((left + r, bottom),)),
            ("C", ((left + k, bottom), (left, bottom - k), (left, bottom - r))),
            ("L", ((left, top + r),)),
            ("C", ((left, top + k), (left + k, top), (left + r, top))),
            ("Z", ()),
        )
    )


def curves(line: Line) -> tuple[Path, ...]:
    """The curves of a line."""
    return tuple(
        Path((("M", (curve[0],)), *(("C", tuple(curve[at : at + 3])) for at in range(1, len(curve), 3))))
        for curve in line.curves
    )


def arrowhead(line: Line) -> Path | None:
    """A filled triangle from where the last curve ends to the tip."""
    if line.arrow is None:
        return None
    (x, y), (tip_x, tip_y) = line.curves[-1][-1], line.arrow
    across = (-(tip_y - y) * _ARROW_HALF, (tip_x - x) * _ARROW_HALF)
    left, right = (x + across[0], y + across[1]), (x - across[0], y - across[1])
    return Path((("M", (line.arrow,)), ("L", (left,)), ("L", (right,)), ("Z", ())))


def pen_of(box: Box) -> float:
    """The natural pen width of a box's border; 0 for none."""
    pens = {"none": 0.0, "single": PEN, "heavy": HEAVY_PEN, "double": PEN, "inked": INK_PEN, "dotted": PEN}
    return pens[box.border]


def print_of(word: Word, ground: float) -> float:
    """The grey of a word on a ground: small print is paler than the rest, where that can be read."""
    return SMALL_GREY if word.role == "small" and ground >= _DIM else BLACK


def grey_of(line: Line) -> float:
    """A line's grey: black where it is on the path taken."""
    return BLACK if line.inked else LINE_GREY
