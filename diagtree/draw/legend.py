"""The legend: what each outline, line and shade of a drawing stands for. Only what this drawing shows."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from diagtree.draw.bills import DASH
from diagtree.draw.path import INK_PEN, LINE_PEN, SHADE
from diagtree.draw.picture import Border, Box, Line
from diagtree.draw.setting import SIZES, Block, Part, set_parts
from diagtree.draw.shape import Extent, Shape
from diagtree.draw.subject import Subject
from diagtree.graph.trees import kind_of, node_ids

SPACE = 10.0  # between entries
PAD = 5.0  # between a symbol and its words
ARROW = 7.0  # length of an arrowhead
_WIDTH = 240.0  # of an entry at most
_SYMBOL = (26.0, 12.0)
_BELOW = 2.0  # between rows
_SHORT = 40.0  # words as short as this stay on one line
_HALF = 0.6  # of the length of one line, for two


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the legend: an outline, or a line where it has none; words alone where it is `bare`."""

    words: str
    shape: Shape | None = None
    bare: bool = False
    border: Border = "single"
    tone: float = 1.0
    dashed: bool = False
    pen: float = LINE_PEN
    inked: bool = False


@dataclass(frozen=True, slots=True)
class Extras:
    """What a drawing shows beyond the tree, for its legend."""

    references: bool = False  # some line ends in a connector
    passed: bool = False  # some question does not apply to the build
    inked: str = ""  # what path is inked, in words
    pens: tuple[tuple[float, str], ...] = ()  # line widths with how many cars of 100 they stand for
    tones: tuple[tuple[float, str], ...] = ()  # greys with what they stand for
    build: str = ""  # of which build it is, where it is of one
    job: str = ""  # of which job it is, in words
    remark: str = ""  # on characters that the font has no shape for


class Legend:
    """Symbols with their meaning, side by side in rows; those of a scale stay together where they can."""

    def __init__(self, width: float) -> None:
        self.width = width
        self.boxes: list[Box] = []
        self.samples: list[Line] = []
        self.left = self.top = self.row = 0.0
        self._count = 0

    def add(self, group: Sequence[Entry]) -> None:
        """Some entries, on a new row where this one has no room for them."""
        blocks = [self._block(entry) for entry in group]
        self._break(sum(wide for wide, _ in blocks) + SPACE * (len(group) - 1))
        for entry, (wide, block) in zip(group, blocks, strict=True):
            self._break(wide)
            self._set(entry, block)
            self.left += wide + SPACE

    @property
    def height(self) -> float:
        """How far down it reaches."""
        return self.top + self.row + _BELOW

    def _block(self, entry: Entry) -> tuple[float, Block]:
        symbol = 0.0 if entry.bare else _SYMBOL[0] + PAD
        room = min(self.width, _WIDTH) - symbol
        part = Part(entry.words, "small", SIZES.small)
        block = set_parts((part,), room)
        if len(block.rows) == 1 and block.width > _SHORT:  # a second line costs nothing beside a symbol
            halved = set_parts((part,), block.width * _HALF)
            block = halved if len(halved.rows) == 2 else block
        return symbol + block.width, block

    def _break(self, wide: float) -> None:
        if self.left and self.left + wide > self.width:
            self.left, self.top, self.row = 0.0, self.top + self.row + _BELOW, 0.0

    def _set(self, entry: Entry, block: Block) -> None:
        name = f"legend-{self._count}"
        self._count += 1
        height = max(_SYMBOL[1], block.height)
        self.row = max(self.row, height)
        symbol = Extent(self.left, self.top + (height - _SYMBOL[1]) / 2, *_SYMBOL)
        if entry.shape:
            extent = _symbol(entry.shape, symbol)
            self.boxes.append(Box(name, "legend", entry.shape, extent, border=entry.border, tone=entry.tone))
        elif not entry.bare:
            self.samples.append(_sample(symbol, entry))
        area = Extent(self.left if entry.bare else symbol.right + PAD, self.top, block.width, height)
        words = block.from_left(area.left, self.top + (height - block.height) / 2)
        self.boxes.append(Box(f"{name}-words", "legend", "panel", area, words, entry.words, "none"))


def _symbol(shape: Shape, room: Extent) -> Extent:
    if shape != "circle":
        return room
    return Extent(room.centre[0] - room.height / 2, room.top, room.height, room.height)


def _sample(symbol: Extent, entry: Entry) -> Line:
    y = symbol.centre[1]
    start, base, tip = (symbol.left, y), (symbol.right - ARROW, y), (symbol.right, y)
    curve = (start, start, base, base)
    return Line("", "", "", (curve,), tip, title=entry.words, dashed=entry.dashed, pen=entry.pen, inked=entry.inked)


def entries(subject: Subject, decision: Shape, extras: Extras) -> Iterator[tuple[Entry, ...]]:
    """What this drawing shows; what belongs to one scale together. `decision` is the outline of its questions."""
    yield from ((entry,) for entry in _outlines(subject, decision, extras))
    if extras.inked:
        yield (Entry(extras.inked, inked=True, pen=INK_PEN),)
    if extras.pens:
        head = Entry("A line's width: of 100 cars that come to this tree, how many go that way:", bare=True)
        yield (head, *(Entry(words, pen=pen) for pen, words in extras.pens))
    if extras.tones:
        head = Entry("An end's grey: of 100 cars that come to this tree, how many end there:", bare=True)
        yield (head, *(Entry(words, "terminator", tone=tone) for tone, words in extras.tones))


def _outlines(subject: Subject, decision: Shape, extras: Extras) -> Iterator[Entry]:
    tree = subject.tree
    kinds = {kind_of(tree.nodes.get(name)) for name in node_ids(tree)}
    if "question" in kinds:
        # With a path drawn in, the boxes on it are the thick ones; the start says START in any drawing.
        yield Entry("a question" if extras.inked else "a question; the thick one is the start", decision)
        yield Entry("an answer")
    if any(node.otherwise for node in tree.questions):
        yield Entry("the way on where the answer cannot be had", dashed=True)
    if extras.passed:
        yield Entry("asks for what this build has not: take the dashed way", decision, border="dotted")
    if "outcome" in kinds:
        yield Entry(_bill_words(subject), "terminator", tone=SHADE)
    if any(len(node.faults) > 1 for node in tree.outcomes):
        yield Entry("Several causes in one end: no answer here tells them apart, and not all need be there.", bare=True)
    yield from _ways(subject, kinds, extras)


def _ways(subject: Subject, kinds: Collection[str], extras: Extras) -> Iterator[Entry]:
    """What stands for something elsewhere."""
    if extras.references:
        where = (
            "goes on at this address: letter along the edge, number down it; the box there names the way back (from)"
        )
        yield Entry(where, "circle")
    if "onward" in kinds:
        yield Entry("go on in another tree, all answers kept", "connector")
    if "missing" in kinds:
        yield Entry("a box that the tree names and does not have", "process")
    if any(mark.caution.level == "stop" for mark in subject.marks.values()):
        yield Entry(
            "Stop: a caution at the top, by its number; alike on all posters of a library", "panel", border="double"
        )
    elif subject.marks:
        yield Entry("Warning, Note: a caution at the top, by its number; alike on all posters of a library", bare=True)


def _bill_words(subject: Subject) -> str:
    """What stands at an end of the work there."""
    if not subject.bills:
        return "what to repair"
    lines = [line for each in subject.bills.values() for line in each]
    spread = ", from the least build to the dearest" if any(DASH in line for line in lines) else ""
    return f"what to repair: its hours and parts{spread}; single prices before tax, checks not counted"
