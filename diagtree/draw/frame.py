"""What stands around the tree on a page: title block, cautions, notice, legend. At natural size."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagtree.draw.cautions import Numbered
from diagtree.draw.font import clean
from diagtree.draw.legend import Extras, Legend, entries
from diagtree.draw.path import LINE_PEN, SHADE
from diagtree.draw.picture import Border, Box, Line
from diagtree.draw.setting import SIZES, Part, set_parts
from diagtree.draw.shape import Extent, Shape
from diagtree.draw.subject import Subject
from diagtree.graph.serving import builds
from diagtree.model.engine import ONLY
from diagtree.model.library import NOTICE

SPACE = 5.0  # between panels
_CLOSE = 3.5  # between a caution and the next below it
PAD = 5.0  # between a panel's border and its words
_CAUTION_WIDTH = 185.0  # the least width of a caution beside another
_TITLE_SHARE = 0.45  # of the width, for the title at most
_LEVEL = 46.0  # room for a caution's level and number
_TIGHT = 3.5  # above and below a caution's words
_SEPARATOR = " \N{MIDDLE DOT} "


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
    title = _title(subject, extras, width)
    panels = (title, *_cautions(subject, width, title.extent.bottom + SPACE))
    top = max(box.extent.bottom for box in panels) + SPACE
    legend = Legend(width)
    for group in entries(subject, decision, extras):
        legend.add(group)
    return Frame(panels, top, tuple(legend.boxes), legend.height + SPACE, tuple(legend.samples))


def frame_height(subject: Subject, width: float) -> float:
    """What the panels take of a page of this width, with the longest legend that a drawing has without a path."""
    made = max((build.id for engine in subject.engines for build in builds(engine)), key=len, default="")
    pens = tuple((LINE_PEN, "10 or fewer") for _ in range(4))
    tones = tuple((SHADE, "40 and more") for _ in range(3))
    most = Extras(references=True, passed=bool(made), pens=pens, tones=tones, build=made, job="Job 123456")
    return make_frame(subject, width, "hexagon", most).height


def _title(subject: Subject, extras: Extras, width: float) -> Box:
    """The title, and beside it what the tree is for, where it is from and who decides over it."""
    tree = subject.tree
    title = Part(tree.title, "title", SIZES.title, bold=True)
    facts = [f"For: {tree.covers}" if tree.covers else "", f"Tree: {tree.id}"]
    facts += [f"Revision {tree.revision}" if tree.revision else "", f"Date: {tree.date}" if tree.date else ""]
    facts += [f"Source: {tree.source}" if tree.source else ""]
    build = f"For build {extras.build} only. What other builds have is left out." if extras.build else ""
    parts = (
        Part(_SEPARATOR.join(filter(None, facts)), "text", SIZES.text),
        Part(_served(subject), "text", SIZES.text),
        Part(_SEPARATOR.join(filter(None, (extras.job, build))), "text", SIZES.text, bold=True),
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


def _cautions(subject: Subject, width: float, top: float) -> Iterator[Box]:
    """The cautions in columns, in their order: the first ones side by side at the top, each next where most is free."""
    cautions = tuple(subject.marks.values())
    columns = max(1, min(len(cautions), int((width + SPACE) / (_CAUTION_WIDTH + SPACE))))
    column = (width - (columns - 1) * SPACE) / columns
    bottoms = [top] * columns
    for caution in cautions:
        at = bottoms.index(min(bottoms))
        yield (box := _caution(caution, column).placed(1.0, at * (column + SPACE), bottoms[at]))
        bottoms[at] = box.extent.bottom + _CLOSE


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
