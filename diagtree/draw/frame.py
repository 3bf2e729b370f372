"""What stands around the tree on a page: title block, cautions, notice, legend. At natural size."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TypeAlias

from diagtree.draw.cautions import Numbered
from diagtree.draw.font import clean
from diagtree.draw.picture import Border, Box, Kind, Line
from diagtree.draw.setting import Block, Part, Sizes, set_parts
from diagtree.draw.shape import Extent, Shape
from diagtree.draw.subject import Subject
from diagtree.graph.serving import builds
from diagtree.graph.trees import kind_of, node_ids
from diagtree.model.engine import ONLY
from diagtree.model.library import NOTICE

SPACE = 8.0  # between panels
PAD = 7.0  # between a panel's border and its words
_CAUTION_WIDTH = 250.0  # the least width of a caution beside another
_SYMBOL = (32.0, 15.0)


_Entry: TypeAlias = tuple[Shape | None, bool, bool, str]  # outline (None: a line), shade, dashes, meaning


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


def make_frame(subject: Subject, sizes: Sizes, width: float, decision: Shape) -> Frame:
    """Set every panel for a page whose margins leave `width` points; `decision` is the outline of its questions."""
    notice = (Part(NOTICE, "text", sizes.text, bold=True),)
    rows: list[tuple[Box, ...]] = [(_panel("title", _title_parts(subject, sizes), width),)]
    rows += _caution_rows(subject, sizes, width)
    rows.append((_panel("notice", notice, width, "none"),))
    panels: list[Box] = []
    top = 0.0
    for row in rows:
        panels += [box.placed(1.0, 0.0, top) for box in row]
        top = panels[-1].extent.bottom + SPACE
    below, samples, height = _legend(_entries(subject, decision), sizes, width)
    return Frame(tuple(panels), top + SPACE, below, height + 2 * SPACE, samples)


def _panel(name: str, parts: tuple[Part, ...], width: float, border: Border = "single") -> Box:
    pad = 1.0 if name == "notice" else PAD  # beside no border no space is needed
    block = set_parts(parts, width - 2 * pad)
    extent = Extent(0.0, 0.0, width, block.height + 2 * pad)
    said = clean(" ".join(part.text for part in parts))
    kinds: Mapping[str, Kind] = {"title": "title", "notice": "notice"}
    return Box(name, kinds.get(name, "caution"), "panel", extent, block.from_left(pad, pad), said, border)


def _title_parts(subject: Subject, sizes: Sizes) -> tuple[Part, ...]:
    tree = subject.tree
    facts = [f"For: {tree.covers}" if tree.covers else "", f"Tree: {tree.id}"]
    facts += [f"Revision {tree.revision}" if tree.revision else "", f"Date: {tree.date}" if tree.date else ""]
    source = f"Source: {tree.source}" if tree.source else ""
    return (
        Part(tree.title, "title", sizes.title, bold=True),
        Part(" \N{MIDDLE DOT} ".join(filter(None, facts)), "text", sizes.text, space=1.0),
        Part(_served(subject), "text", sizes.text),
        Part(source, "text", sizes.text),
    )


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


def _caution_rows(subject: Subject, sizes: Sizes, width: float) -> Iterator[tuple[Box, ...]]:
    """Rows of cautions side by side, equally high within a row."""
    cautions = tuple(subject.marks.values())
    if not cautions:
        return
    columns = max(1, min(len(cautions), int((width + SPACE) / (_CAUTION_WIDTH + SPACE))))
    column = (width - (columns - 1) * SPACE) / columns
    for first in range(0, len(cautions), columns):
        row = [_caution(caution, sizes, column) for caution in cautions[first : first + columns]]
        height = max(box.extent.height for box in row)
        yield tuple(
            replace(box, extent=replace(box.extent, height=height)).placed(1.0, position * (column + SPACE), 0.0)
            for position, box in enumerate(row)
        )


def _caution(numbered: Numbered, sizes: Sizes, width: float) -> Box:
    level = numbered.caution.level
    border: Border = "double" if level == "stop" else "single" if level == "warn" else "none"
    name = numbered.name.upper() if level == "stop" else numbered.name
    parts = (
        Part(name, "heading", sizes.heading, bold=True),
        Part(f"{numbered.caution.say} {numbered.only}", "text", sizes.text + 1),
    )
    return _panel(f"caution-{numbered.caution.id}", parts, width, border)


def _legend(entries: Iterable[_Entry], sizes: Sizes, width: float) -> tuple[tuple[Box, ...], tuple[Line, ...], float]:
    """Symbols with their meaning, side by side in rows. Only what the drawing can show."""
    boxes: list[Box] = []
    samples: list[Line] = []
    left = top = 0.0
    for number, (shape, shade, dashed, words) in enumerate(entries):
        block = set_parts((Part(words, "small", sizes.small),), width - _SYMBOL[0] - PAD)
        wide = _SYMBOL[0] + PAD + block.width
        if left and left + wide > width:
            left, top = 0.0, top + _row_height(block) + 2
        symbol = Extent(left, top, *_SYMBOL)
        if shape:
            boxes.append(Box(f"legend-{number}", "legend", shape, symbol, shade=shade))
        else:
            samples.append(_sample(symbol, words, dashed=dashed))
        area = Extent(left + _SYMBOL[0] + PAD, top, block.width, _row_height(block))
        spoken = block.from_left(area.left, top + (area.height - block.height) / 2)
        boxes.append(Box(f"legend-{number}-words", "legend", "panel", area, spoken, words, "none"))
        left += wide + 2 * SPACE
    return tuple(boxes), tuple(samples), top + _SYMBOL[1] + 2


def _row_height(block: Block) -> float:
    return max(_SYMBOL[1], block.height)


def _sample(symbol: Extent, words: str, *, dashed: bool) -> Line:
    y = symbol.centre[1]
    start, base, tip = (symbol.left, y), (symbol.right - 7.0, y), (symbol.right, y)
    return Line("", "", "", ((start, start, base, base),), tip, title=words, dashed=dashed)


def _entries(subject: Subject, decision: Shape) -> Iterator[_Entry]:
    """What this drawing shows."""
    tree = subject.tree
    kinds = {kind_of(tree.nodes.get(name)) for name in node_ids(tree)}
    if "question" in kinds:
        yield decision, False, False, "a question; the thick one is the start"
        yield None, False, False, "an answer"
    if any(node.otherwise for node in tree.questions):
        yield None, False, True, "the way on where the answer cannot be had"
    if "outcome" in kinds:
        yield "terminator", True, False, "what to repair"
    if "onward" in kinds:
        yield "connector", False, False, "go on in another tree, all answers kept"
    if "missing" in kinds:
        yield "process", False, False, "a box that the tree names and does not have"
