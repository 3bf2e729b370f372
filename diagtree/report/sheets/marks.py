"""What ink does on a sheet, as data. Lengths in points, x to the right, y down; black unless said otherwise."""

from dataclasses import dataclass, replace
from typing import TypeAlias

from diagtree.draw.font import ASCENT, DESCENT


@dataclass(frozen=True, slots=True)
class Extent:
    """A rectangle."""

    left: float
    top: float
    right: float
    bottom: float

    def holds(self, other: "Extent", slack: float = 0.01) -> bool:
        """Whether the other lies inside."""
        return (
            self.left - slack <= other.left
            and self.top - slack <= other.top
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )


@dataclass(frozen=True, slots=True)
class Span:
    """How far a text may run across: its left edge, and the room from there."""

    left: float
    room: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.room

    def indented(self, by: float) -> "Span":
        """The same with another left edge."""
        return Span(self.left + by, self.room - by)

    def inset(self, by: float) -> "Span":
        """The same, narrower on both sides."""
        return Span(self.left + by, self.room - 2 * by)

    def parts(self, many: int, gap: float = 12.0) -> "list[Span]":
        """Equal parts beside one another."""
        wide = (self.room - gap * (many - 1)) / many
        return [Span(self.left + at * (wide + gap), wide) for at in range(many)]


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words. `width` is measured from our font; `room` is how wide it may be where it was set."""

    text: str
    left: float
    baseline: float
    width: float
    room: float
    size: float
    bold: bool = False

    @property
    def extent(self) -> Extent:
        """What it may ink."""
        return Extent(
            self.left, self.baseline - ASCENT * self.size, self.left + self.width, self.baseline + DESCENT * self.size
        )

    def moved(self, right: float, down: float) -> "Words":
        """The same elsewhere."""
        return replace(self, left=self.left + right, baseline=self.baseline + down)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line."""

    left: float
    top: float
    right: float
    bottom: float
    pen: float = 0.6
    dashed: bool = False

    @property
    def extent(self) -> Extent:
        """What it may ink."""
        return Extent(
            min(self.left, self.right),
            min(self.top, self.bottom),
            max(self.left, self.right),
            max(self.top, self.bottom),
        )

    def moved(self, right: float, down: float) -> "Stroke":
        """The same elsewhere."""
        return replace(
            self, left=self.left + right, right=self.right + right, top=self.top + down, bottom=self.bottom + down
        )


@dataclass(frozen=True, slots=True)
class Frame:
    """A rectangle with a border; `fill` is a shade of grey, 0 black, None clear."""

    left: float
    top: float
    width: float
    height: float
    pen: float = 0.6  # 0: no border
    fill: float | None = None

    @property
    def extent(self) -> Extent:
        """What it may ink."""
        return Extent(self.left, self.top, self.left + self.width, self.top + self.height)

    def moved(self, right: float, down: float) -> "Frame":
        """The same elsewhere."""
        return replace(self, left=self.left + right, top=self.top + down)


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle: filled, or a ring."""

    across: float
    down: float
    radius: float
    filled: bool = True
    pen: float = 0.8

    @property
    def extent(self) -> Extent:
        """What it may ink."""
        edge = self.radius + (0 if self.filled else self.pen / 2)
        return Extent(self.across - edge, self.down - edge, self.across + edge, self.down + edge)

    def moved(self, right: float, down: float) -> "Disc":
        """The same elsewhere."""
        return replace(self, across=self.across + right, down=self.down + down)


@dataclass(frozen=True, slots=True)
class Section:
    """Where a section begins, for the file's table of contents. No ink. `level`: 0, or 1 inside the one before it."""

    title: str
    left: float
    top: float
    level: int = 0

    @property
    def extent(self) -> Extent:
        """A point."""
        return Extent(self.left, self.top, self.left, self.top)

    def moved(self, right: float, down: float) -> "Section":
        """The same elsewhere."""
        return replace(self, left=self.left + right, top=self.top + down)


Mark: TypeAlias = Words | Stroke | Frame | Disc | Section
