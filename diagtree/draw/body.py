"""A tree as placed boxes and lines, at natural size, before there is a page around it."""

from dataclasses import dataclass

from diagtree.draw import content, dot
from diagtree.draw.layout import Layout, lay_out
from diagtree.draw.lines import ARROW, Joint, draw_lines, extent_of
from diagtree.draw.picture import Border, Box, Line
from diagtree.draw.refusal import Refusal
from diagtree.draw.setting import Sizes
from diagtree.draw.shape import middle
from diagtree.draw.sizing import Measured, Way, measure_answer, measure_boxes
from diagtree.draw.subject import Subject
from diagtree.graph.trees import kind_of, links
from diagtree.model.tree import Onward

_NEAR = 3  # how much more an answer's words are drawn to their question than to the next box


@dataclass(frozen=True, slots=True)
class Body:
    """The placed tree. Points, from its own top left corner."""

    width: float
    height: float
    boxes: tuple[Box, ...]
    lines: tuple[Line, ...]


def place(subject: Subject, sizes: Sizes, way: Way) -> Body | Refusal:
    """Measure every word, ask for places, and put the words inside their outlines."""
    boxes = measure_boxes(subject, sizes, way)
    joints = tuple(
        Joint(link, boxes[link.source], measure_answer(subject, link, sizes, way, f"l{number}"), boxes[link.target])
        for number, link in enumerate(links(subject.tree))
    )
    measured = tuple(boxes.values())
    found = lay_out(_dot(measured, joints, dot.Spacing(sizes.gap, sizes.row_gap, way.across)))
    if isinstance(found, Refusal):
        return found
    lines = draw_lines(joints, measured, found, across=way.across)
    return _trimmed(found, tuple(_box(subject, name, box, found) for name, box in boxes.items()), lines)


def _dot(boxes: tuple[Measured, ...], joints: tuple[Joint, ...], spacing: dot.Spacing) -> str:
    sized = [dot.Sized(part.name, part.width, part.height) for part in (*boxes, *(joint.words for joint in joints))]
    ties = [dot.Tie(joint.source.name, joint.words.name, _NEAR) for joint in joints]
    ties += [dot.Tie(joint.words.name, joint.target.name, arrow=ARROW) for joint in joints]
    # Each question with its answers' words: another question's answers must not stand among them.
    groups: dict[str, list[str]] = {}
    for joint in joints:
        groups.setdefault(joint.source.name, [joint.source.name]).append(joint.words.name)
    return dot.bare(sized, ties, map(tuple, groups.values()), spacing)


def _box(subject: Subject, name: str, measured: Measured, found: Layout) -> Box:
    node = subject.tree.nodes.get(name)
    kind = kind_of(node)
    extent = extent_of(measured, found)
    border: Border = "heavy" if name == subject.tree.start else "single"
    return Box(
        id=name,
        kind=kind,
        shape=measured.shape,
        extent=extent,
        words=measured.block.centred(*middle(measured.shape, extent)),
        title=content.spoken(measured.parts),
        border=border,
        shade=kind == "outcome",
        target=node.tree if isinstance(node, Onward) else "",
    )


def _trimmed(found: Layout, boxes: tuple[Box, ...], lines: tuple[Line, ...]) -> Body:
    """Curves may bulge past what the engine calls its bounds: move everything inside."""
    extents = [*(box.extent for box in boxes), *(line.extent for line in lines if line.extent)]
    points = [point for line in lines for curve in line.curves for point in curve]
    points += [line.arrow for line in lines if line.arrow]
    left = min([0.0, *(extent.left for extent in extents), *(x for x, _ in points)])
    top = min([0.0, *(extent.top for extent in extents), *(y for _, y in points)])
    right = max([found.width, *(extent.right for extent in extents), *(x for x, _ in points)])
    bottom = max([found.height, *(extent.bottom for extent in extents), *(y for _, y in points)])
    return Body(
        right - left,
        bottom - top,
        tuple(box.placed(1.0, -left, -top) for box in boxes),
        tuple(line.placed(1.0, -left, -top) for line in lines),
    )
