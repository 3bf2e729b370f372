"""A drawing as data: boxes, lines and placed words, ready for any painter.

Lengths in points (1/72 inch) from the top left corner; x to the right, y down. Painters add nothing and measure
nothing. Kinds of box differ in outline and border as well as in shade, so that a grey copy says as much.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

from diagtree.draw.font import ASCENT, DESCENT
from diagtree.draw.shape import Extent, Point, Shape, holds

NodeKind: TypeAlias = Literal["question", "outcome", "onward", "missing"]
Kind: TypeAlias = Literal[
    "question", "outcome", "onward", "missing", "reference", "title", "caution", "notice", "legend", "grid"
]
Border: TypeAlias = Literal["none", "single", "heavy", "double", "inked", "dotted"]
Role: TypeAlias = Literal["title", "heading", "question", "outcome", "answer", "text", "small"]
Curve: TypeAlias = tuple[Point, ...]  # a start, then three points for each cubic Bezier piece

POINTS_PER_MM = 72 / 25.4


@dataclass(frozen=True, slots=True)
class Word:
    """One line of words in one size of type, placed by its baseline. `width` is measured from our font."""

    text: str
    left: float
    baseline: float
    width: float
    size: float
    role: Role
    bold: bool = False

    @property
    def extent(self) -> Extent:
        """The rectangle that it may ink."""
        return Extent(self.left, self.baseline - ASCENT * self.size, self.width, (ASCENT + DESCENT) * self.size)

    def placed(self, scale: float, right: float, down: float) -> "Word":
        """Scaled about the origin, then moved."""
        left, baseline = self.left * scale + right, self.baseline * scale + down
        return Word(self.text, left, baseline, self.width * scale, self.size * scale, self.role, self.bold)


@dataclass(frozen=True, slots=True)
class Box:
    """An outline with words inside: a node of the tree, or a panel beside it."""

    id: str
    kind: Kind
    shape: Shape
    extent: Extent
    words: tuple[Word, ...] = ()
    title: str = ""  # what it says, in one line, for those who hear it read
    border: Border = "single"
    tone: float = 1.0  # of the ground: 1 is white, 0 black
    target: str = ""  # of an onward box: the tree that it goes on in; of a connector: the node that it stands for
    address: str = ""  # of a node: where it stands on the grid

    def placed(self, scale: float, right: float, down: float) -> "Box":
        """Scaled about the origin, then moved."""
        words = tuple([word.placed(scale, right, down) for word in self.words])
        extent = self.extent.placed(scale, right, down)
        # Field by field: `replace` takes its time, and a poster has a thousand of these.
        said = self.title, self.border, self.tone, self.target, self.address
        return Box(self.id, self.kind, self.shape, extent, words, *said)


@dataclass(frozen=True, slots=True)
class Line:
    """An answer's way from its question to the next box; it runs behind its own words."""

    source: str
    target: str
    key: str  # the answer's id, or `else`
    curves: tuple[Curve, ...]
    arrow: Point | None  # the tip; it points the way the last curve ends
    words: tuple[Word, ...] = ()
    extent: Extent | None = None  # of the words, with the gap in the line
    title: str = ""
    dashed: bool = False
    pen: float = 0.8  # natural width, in points
    inked: bool = False  # on the path that was taken

    def placed(self, scale: float, right: float, down: float) -> "Line":
        """Scaled about the origin, then moved."""

        def move(point: Point) -> Point:
            return point[0] * scale + right, point[1] * scale + down

        return Line(
            self.source,
            self.target,
            self.key,
            tuple([tuple([move(point) for point in curve]) for curve in self.curves]),
            move(self.arrow) if self.arrow else None,
            tuple([word.placed(scale, right, down) for word in self.words]),
            self.extent.placed(scale, right, down) if self.extent else None,
            self.title,
            self.dashed,
            self.pen,
            self.inked,
        )


@dataclass(frozen=True, slots=True)
class Picture:
    """A whole page. `scale` is the factor from the natural size of type and pen to this page."""

    id: str  # the tree's
    title: str
    description: str
    width: float
    height: float
    scale: float
    paper: str  # a name such as A3, or empty for the drawing's own size
    nodes: tuple[Box, ...]
    lines: tuple[Line, ...]
    panels: tuple[Box, ...] = ()
    references: tuple[Box, ...] = ()  # connectors: the address at which a line goes on
    samples: tuple[Line, ...] = ()  # lines of the legend and the grid, no part of the tree
    language: str = "en"
    issue: str = ""  # revision and date of the tree, in words

    @property
    def boxes(self) -> tuple[Box, ...]:
        """Every outline, panels first."""
        return (*self.panels, *self.nodes, *self.references)

    @property
    def words(self) -> Iterator[Word]:
        """Every word on the page, in reading order: title and cautions, the tree, its answers."""
        for box in self.boxes:
            yield from box.words
        for line in self.lines:
            yield from line.words

    @property
    def smallest(self) -> float:
        """The smallest print, in points."""
        return min((word.size for word in self.words), default=0.0)


def size_of(picture: Picture, role: Role) -> float | None:
    """The smallest print of a role, in points; None where the picture has none."""
    return min((word.size for word in picture.words if word.role == role), default=None)


def overflow(picture: Picture) -> tuple[Word, ...]:
    """The words that are not wholly inside their outline, or not wholly on the page."""
    page = Extent(0.0, 0.0, picture.width, picture.height)
    outside = [
        word
        for box in picture.boxes
        for word in box.words
        if not holds(box.shape, box.extent, word.extent, picture.scale)
    ]
    outside += [
        word
        for line in picture.lines
        for word in line.words
        if line.extent is None or not holds("panel", line.extent, word.extent)
    ]
    off_page = [word for word in picture.words if not holds("panel", page, word.extent)]
    return tuple(dict.fromkeys([*outside, *off_page]))
