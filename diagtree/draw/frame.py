"""What stands around the tree on a page: title block, cautions, notice, legend. At natural size."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from diagtree.draw.cautions import Numbered
from diagtree.draw.font import clean
from diagtree.draw.path import INK_PEN, LINE_PEN, SHADE
from diagtree.draw.picture import Border, Box, Line
from diagtree.draw.setting import SIZES, Part, set_parts
from diagtree.draw.shape import Extent, Shape
from diagtree.draw.subject import Subject
from diagtree.graph.serving import builds
from diagtree.graph.trees import kind_of, node_ids
from diagtree.model.engine import ONLY
from diagtree.model.library import NOTICE

SPACE = 5.0  # between panels
PAD = 5.0  # between a panel's border and its words
ARROW = 7.0  # length of an arrowhead
_LEGEND_WIDTH = 240.0
_CAUTION_WIDTH = 185.0  # the least width of a caution beside another
_TITLE_SHARE = 0.45  # of the width, for the title at most
_LEVEL = 46.0  # room for a caution's level and number
_TIGHT = 3.5  # above and below a caution's words
_SYMBOL = (30.0, 13.0)


@dataclass(frozen=True, slots=True)
class _Entry:
    """A line of the legend: an outline, or a line where it has none."""

    words: str
    shape: Shape | None = None
    tone: float = 1.0
    dashed: bool = False
    pen: float = LINE_PEN
    inked: bool = False


@dataclass(frozen=True, slots=True)
class Extras:
    """What a drawing shows beyond the tree, for its legend."""

    references: bool = False  # some line ends in a connector
    inked: str = ""  # what path is inked, in words
    pens: tuple[tuple[float, str], ...] = ()  # line widths with what they stand for
    tones: tuple[tuple[float, str], ...] = ()  # greys with what they stand for
    build: str = ""  # of which build it is, where it is of one
    remark: str = ""  # on characters that the font has no shape for


@dataclass(frozen=True, slots=True)
class Frame:
    """Panels for a page of one width: those above the tree and those below, each measured from its own top."""

    above: tuple[Box, ...]
    above_height: float
    below: tuple[Box, ...]
    below_height: float
    samples: tuple[Line, ...]  # of the legend, measured as `below` is

    @property
    def height(self) -> float:
        """What the panels take from the page's height."""
        return self.above_height + self.below_height


def make_frame(subject: Subject, width: float, decision: Shape, extras: Extras) -> Frame:
    """Set every panel for a page whose margins leave `width` points; `decision` is the outline of its questions."""
    rows: list[tuple[Box, ...]] = [(_title(subject, extras, width),)]
    rows += _caution_rows(subject, width)
    panels: list[Box] = []
    top = 0.0
    for row in rows:
        panels += [box.placed(1.0, 0.0, top) for box in row]
        top = panels[-1].extent.bottom + SPACE
    below, samples, height = _legend(_entries(subject, decision, extras), width)
    return Frame(tuple(panels), top, below, height + SPACE, samples)


def frame_height(subject: Subject, width: float) -> float:
    """What the panels take of a page of this width, with the longest legend that a drawing has without a path."""
    most = Extras(references=True, pens=tuple((LINE_PEN, "100 of 100 cars") for _ in range(4)))
    return make_frame(subject, width, "hexagon", most).height


def _title(subject: Subject, extras: Extras, width: float) -> Box:
    """The title, and beside it what the tree is for, where it is from and who decides over it."""
    tree = subject.tree
    title = Part(tree.title, "title", SIZES.title, bold=True)
    facts = [f"For: {tree.covers}" if tree.covers else "", f"Tree: {tree.id}"]
    facts += [f"Revision {tree.revision}" if tree.revision else "", f"Date: {tree.date}" if tree.date else ""]
    facts += [f"Source: {tree.source}" if tree.source else ""]
    build = f"For build {extras.build} only: what it has not is left out." if extras.build else ""
    parts = (
        Part(" \N{MIDDLE DOT} ".join(filter(None, facts)), "text", SIZES.text),
        Part(_served(subject), "text", SIZES.text),
        Part(build, "text", SIZES.text, bold=True),
        Part(NOTICE, "text", SIZES.text, bold=True),
        Part(extras.remark, "small", SIZES.small),
    )
    left = set_parts((title,), width * _TITLE_SHARE)
    across = left.width + 4 * PAD
    right = set_parts(parts, width - across - PAD)
    height = max(left.height, right.height) + 2 * PAD
    words = (*left.from_left(PAD, (height - left.height) / 2), *right.from_left(across, (height - right.height) / 2))
    said = clean(" ".join(part.text for part in (title, *parts)))
    return Box("title", "title", "panel", Extent(0.0, 0.0, width, height), words, said)


def _served(subject: Subject) -> str:
    """The engines and builds that the tree serves; empty where the library has none."""
    made = [
        f"{engine.title or engine.id} (builds: {', '.join(build.id for build in builds(engine))})"
        if any(build.id != ONLY for build in builds(engine))
        else engine.title or engine.id
        for engine in subject.engines
        if engine.id != ONLY
    ]
    return f"Serves: {'; '.join(made)}" if made else ""


def _caution_rows(subject: Subject, width: float) -> Iterator[tuple[Box, ...]]:
    """Rows of cautions side by side, equally high within a row."""
    cautions = tuple(subject.marks.values())
    if not cautions:
        return
    columns = max(1, min(len(cautions), int((width + SPACE) / (_CAUTION_WIDTH + SPACE))))
    column = (width - (columns - 1) * SPACE) / columns
    for first in range(0, len(cautions), columns):
        row = [_caution(caution, column) for caution in cautions[first : first + columns]]
        height = max(box.extent.height for box in row)
        yield tuple(
            replace(box, extent=replace(box.extent, height=height)).placed(1.0, position * (column + SPACE), 0.0)
            for position, box in enumerate(row)
        )


def _caution(numbered: Numbered, width: float) -> Box:
    """Level and number on the left, what is to be heeded beside them."""
    level = numbered.caution.level
    border: Border = "double" if level == "stop" else "single" if level == "warn" else "none"
    name = numbered.name.upper() if level == "stop" else numbered.name
    head = set_parts((Part(name, "heading", SIZES.heading, bold=True),), _LEVEL)
    say = f"{numbered.caution.say} {numbered.only}"
    block = set_parts((Part(say, "text", SIZES.text),), max(width - _LEVEL - 3 * PAD, _LEVEL))
    height = max(head.height, block.height) + 2 * _TIGHT
    words = (*head.from_left(PAD, _TIGHT), *block.from_left(_LEVEL + 2 * PAD, _TIGHT))
    extent = Extent(0.0, 0.0, max(width, block.width + _LEVEL + 3 * PAD), height)
    return Box(f"caution-{numbered.caution.id}", "caution", "panel", extent, words, clean(f"{name} {say}"), border)


def _legend(entries: Iterable[_Entry], width: float) -> tuple[tuple[Box, ...], tuple[Line, ...], float]:
    """Symbols with their meaning, side by side in rows. Only what the drawing can show."""
    boxes: list[Box] = []
    samples: list[Line] = []
    left = top = row = 0.0
    for number, entry in enumerate(entries):
        block = set_parts((Part(entry.words, "small", SIZES.small),), min(width, _LEGEND_WIDTH) - _SYMBOL[0] - PAD)
        wide = _SYMBOL[0] + PAD + block.width
        if left and left + wide > width:
            left, top, row = 0.0, top + row + 2, 0.0
        height = max(_SYMBOL[1], block.height)
        row = max(row, height)
        symbol = Extent(left, top + (height - _SYMBOL[1]) / 2, *_SYMBOL)
        if entry.shape:
            boxes.append(Box(f"legend-{number}", "legend", entry.shape, _symbol(entry.shape, symbol), tone=entry.tone))
        else:
            samples.append(_sample(symbol, entry))
        area = Extent(left + _SYMBOL[0] + PAD, top, block.width, height)
        spoken = block.from_left(area.left, top + (area.height - block.height) / 2)
        boxes.append(Box(f"legend-{number}-words", "legend", "panel", area, spoken, entry.words, "none"))
        left += wide + 2 * SPACE
    return tuple(boxes), tuple(samples), top + row + 2


def _symbol(shape: Shape, room: Extent) -> Extent:
    if shape != "circle":
        return room
    return Extent(room.centre[0] - room.height / 2, room.top, room.height, room.height)


def _sample(symbol: Extent, entry: _Entry) -> Line:
    y = symbol.centre[1]
    start, base, tip = (symbol.left, y), (symbol.right - ARROW, y), (symbol.right, y)
    curve = (start, start, base, base)
    return Line("", "", "", (curve,), tip, title=entry.words, dashed=entry.dashed, pen=entry.pen, inked=entry.inked)


def _entries(subject: Subject, decision: Shape, extras: Extras) -> Iterator[_Entry]:
    """What this drawing shows."""
    tree = subject.tree
    kinds = {kind_of(tree.nodes.get(name)) for name in node_ids(tree)}
    if "question" in kinds:
        # With a path drawn in, the boxes on it are the thick ones; the start says START in any drawing.
        yield _Entry("a question" if extras.inked else "a question; the thick one is the start", decision)
        yield _Entry("an answer")
    if any(node.otherwise for node in tree.questions):
        yield _Entry("the way on where the answer cannot be had", dashed=True)
    if "outcome" in kinds:
        yield _Entry("what to repair: hours and parts at single prices, checks not counted", "terminator", tone=SHADE)
    if extras.references:
        yield _Entry("goes on at this address: letter along the edge, number down it", "circle")
    if "onward" in kinds:
        yield _Entry("go on in another tree, all answers kept", "connector")
    if "missing" in kinds:
        yield _Entry("a box that the tree names and does not have", "process")
    if extras.inked:
        yield _Entry(extras.inked, inked=True, pen=INK_PEN)
    yield from (_Entry(words, pen=pen) for pen, words in extras.pens)
    yield from (_Entry(words, "terminator", tone=tone) for tone, words in extras.tones)
