"""The lines of a drawing: from each question to its answers' words, and from there to the next box."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagtree.draw import content
from diagtree.draw.layout import Layout, Route
from diagtree.draw.picture import Line
from diagtree.draw.shape import Extent, Point
from diagtree.draw.sizing import Measured
from diagtree.draw.strip import Strips, find_strips, offsets, swing
from diagtree.graph.trees import ELSE, Link

ARROW = 7.0  # length of an arrowhead


@dataclass(frozen=True, slots=True)
class Joint:
    """An answer with everything that its line joins."""

    link: Link
    source: Measured
    words: Measured
    target: Measured


def extent_of(measured: Measured, found: Layout) -> Extent:
    """Where the layout put something."""
    x, y = found.centres[measured.name]
    return Extent(x - measured.width / 2, y - measured.height / 2, measured.width, measured.height)


def draw_lines(
    joints: tuple[Joint, ...], boxes: tuple[Measured, ...], found: Layout, *, across: bool
) -> tuple[Line, ...]:
    """A line for each answer, in their order."""
    extents = {box.name: extent_of(box, found) for box in (*boxes, *(joint.words for joint in joints))}
    strips = find_strips(extents.values(), across=across)
    beside = _beside(joints, extents, strips)
    return tuple(
        _line(
            joint,
            extents[joint.words.name],
            _to_words(joint, extents, found, strips, beside[joint.words.name]),
            _to_target(joint, extents, found, strips),
        )
        for joint in joints
    )


def _beside(joints: tuple[Joint, ...], extents: Mapping[str, Extent], strips: Strips) -> Mapping[str, float]:
    """How far beside the middle of its question each answer's line leaves it, by the name of its words."""
    groups: dict[str, list[Joint]] = {}
    for joint in joints:
        groups.setdefault(joint.source.name, []).append(joint)
    found: dict[str, float] = {}
    for name, group in groups.items():
        words = [joint.words.name for joint in group]
        places = offsets(strips, extents[name], group[0].source.shape, [extents[word] for word in words])
        found |= dict(zip(words, places, strict=True))
    return found


def _to_words(joint: Joint, extents: Mapping[str, Extent], found: Layout, strips: Strips, beside: float) -> Route:
    own = swing(strips, extents[joint.source.name], beside, extents[joint.words.name])
    return Route(own) if own else found.routes[joint.source.name, joint.words.name]


def _to_target(joint: Joint, extents: Mapping[str, Extent], found: Layout, strips: Strips) -> Route:
    words, target = extents[joint.words.name], extents[joint.target.name]
    tip = _entry(target, across=strips.across)
    own = swing(strips, words, 0.0, target, ARROW)
    if own:
        return Route(own, tip)
    # The engine rounds sizes to whole points: start at the words' very edge, end at the box's.
    route = found.routes[joint.words.name, joint.target.name]
    x, y = words.centre
    start = (words.right, y) if strips.across else (x, words.bottom)
    return Route((start, *route.curve[1:]), tip)


def _entry(target: Extent, *, across: bool) -> Point:
    x, y = target.centre
    return (target.left, y) if across else (x, target.top)


def _line(joint: Joint, extent: Extent, first: Route, last: Route) -> Line:
    asked, said, then = (content.spoken(part.parts) for part in (joint.source, joint.words, joint.target))
    return Line(
        source=joint.link.source,
        target=joint.link.target,
        key=joint.link.key,
        curves=(first.curve, last.curve),
        arrow=last.tip,
        words=joint.words.block.centred(*extent.centre),
        extent=extent,
        title=f"{asked} {said}: {then}",
        dashed=joint.link.key == ELSE,
    )
