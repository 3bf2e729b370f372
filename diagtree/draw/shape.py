"""The outlines of a drawing: how large one must be for its words, and what lies inside it.

Lengths in points; x to the right, y down.

Ends, short questions and connectors have the outlines of ISO 5807: terminator, decision (a diamond), connector. Where
the questions are sentences a diamond as wide as a page would be needed: they stand in an outline of our own, the
diamond cut flat above and below (`hexagon`; in that standard it is a preparation). Going on in another drawing has none
there: that outline (`connector`) is ours too. The legend shows every one.
"""

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

Shape: TypeAlias = Literal["diamond", "hexagon", "process", "terminator", "connector", "panel", "circle"]
Point: TypeAlias = tuple[float, float]

SLANT = 8.0  # how far a hexagon's points stand out
POINT = 11.0  # how deep an off-page connector's point is
ROUND = 12.0  # the largest radius of a terminator
SIDE = 5.0  # clear space left and right of the words
ABOVE = 3.5  # clear space above and below them
_SLACK = 1e-6


@dataclass(frozen=True, slots=True)
class Extent:
    """An upright rectangle, in points from the picture's top left corner."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.top + self.height

    @property
    def centre(self) -> Point:
        """The middle."""
        return self.left + self.width / 2, self.top + self.height / 2

    @property
    def corners(self) -> tuple[Point, ...]:
        """The four corners, clockwise from the top left."""
        return (self.left, self.top), (self.right, self.top), (self.right, self.bottom), (self.left, self.bottom)

    def placed(self, scale: float, right: float, down: float) -> "Extent":
        """Scaled about the origin, then moved."""
        return Extent(self.left * scale + right, self.top * scale + down, self.width * scale, self.height * scale)

    def shrunk(self, by: float) -> "Extent":
        """The same with `by` taken off on each side."""
        return Extent(self.left + by, self.top + by, self.width - 2 * by, self.height - 2 * by)

    def meets(self, other: "Extent") -> bool:
        """Whether the two share more than an edge."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > _SLACK and down > _SLACK


def room(shape: Shape, width: float, height: float) -> tuple[float, float]:
    """Width and height of the smallest good outline around words of this width and height."""
    wide, high = width + 2 * SIDE, height + 2 * ABOVE
    if shape == "diamond":
        # Half the words' share in each direction gives the diamond of least area.
        return 2 * (width + SIDE), 2 * (height + ABOVE)
    if shape == "hexagon":
        return wide + 2 * SLANT - SIDE, high
    if shape == "connector":
        return wide, high + POINT
    if shape == "circle":
        across = math.hypot(width, height)
        return across, across
    return wide, high


def middle(shape: Shape, extent: Extent, scale: float = 1.0) -> Point:
    """Where the words' centre stands."""
    x, y = extent.centre
    return (x, y - POINT * scale / 2) if shape == "connector" else (x, y)


def radius(extent: Extent, scale: float = 1.0) -> float:
    """The corner radius of a terminator."""
    return min(ROUND * scale, extent.height / 2, extent.width / 2)


def polygon(shape: Shape, extent: Extent, scale: float = 1.0) -> tuple[Point, ...]:
    """The corners of an outline, clockwise. A terminator's are those of its rectangle: see `radius`."""
    x, y = extent.centre
    left, top, right, bottom = extent.left, extent.top, extent.right, extent.bottom
    if shape == "diamond":
        return (x, top), (right, y), (x, bottom), (left, y)
    if shape == "hexagon":
        s = min(SLANT * scale, extent.width / 4)
        return (left + s, top), (right - s, top), (right, y), (right - s, bottom), (left + s, bottom), (left, y)
    if shape == "connector":
        waist = bottom - min(POINT * scale, extent.height * 0.4)
        return (left, top), (right, top), (right, waist), (x, bottom), (left, waist)
    return extent.corners


def holds(shape: Shape, extent: Extent, words: Extent, scale: float = 1.0) -> bool:
    """Whether a rectangle of words lies wholly inside an outline. Every outline is convex, so its corners decide."""
    if shape == "circle":
        (x, y), reach = extent.centre, min(extent.width, extent.height) / 2
        return all(math.dist((x, y), corner) <= reach + _SLACK for corner in words.corners)
    corners = polygon(shape, extent, scale)
    inside = all(_within(corners, corner) for corner in words.corners)
    return inside and (shape != "terminator" or _within_rounds(extent, words, scale))


def _within(corners: tuple[Point, ...], point: Point) -> bool:
    pairs = zip(corners, (*corners[1:], corners[0]), strict=True)
    return all(_turn(start, end, point) >= -_SLACK * math.dist(start, end) for start, end in pairs)


def _turn(start: Point, end: Point, point: Point) -> float:
    """Above 0 where `point` lies on the inner side of a clockwise edge (y runs down)."""
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])


def _within_rounds(extent: Extent, words: Extent, scale: float) -> bool:
    r = radius(extent, scale)
    core = extent.shrunk(r)  # its corners are the centres of the rounds
    return all(_from_core(core, corner) <= r + _SLACK for corner in words.corners)


def _from_core(core: Extent, point: Point) -> float:
    across = max(core.left - point[0], 0.0, point[0] - core.right)
    down = max(core.top - point[1], 0.0, point[1] - core.bottom)
    return math.hypot(across, down)
