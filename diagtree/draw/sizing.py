"""How large each box and each answer's words are, before anybody knows where they will stand.

A tree is measured for every engine that it serves and for each of them alone, and the largest counts: so it is laid
out alike whichever of them is drawn, and a box has one address.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagtree.draw import content
from diagtree.draw.setting import Block, Part, set_parts
from diagtree.draw.shape import Shape, room
from diagtree.draw.subject import Subject
from diagtree.graph.trees import Kind, Link, kind_of, links, node_ids

_DIAMOND_ROWS = 3  # more lines than this in a box and the questions are drawn as hexagons
_DIAMOND_WIDTH = 70.0
_LEAST_WIDTH = 46.0
_SLACK = 1e-6
CLEAR = 1.0  # above and below an answer's words


@dataclass(frozen=True, slots=True)
class Limits:
    """How wide lines may be, in points."""

    box: float = 104.0  # in a question
    end: float = 135.0  # in an end, which says more
    answer: float = 66.0


PLAIN = Limits()
# Which squares fit a sheet best is a matter of chance: each is tried until the tree fits.
TRIED = (
    PLAIN,
    Limits(92.0),
    Limits(98.0, 120.0),
    Limits(92.0, 128.0, 72.0),
    Limits(112.0, 150.0),
    Limits(92.0, answer=80.0),
    Limits(98.0),
    Limits(92.0, 120.0, 60.0),
)


@dataclass(frozen=True, slots=True)
class Measured:
    """An outline with its words, without a place. In points."""

    shape: Shape
    block: Block
    parts: tuple[Part, ...]
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Room:
    """What a tree needs: each node's box and each answer's words, for whichever engine it is drawn."""

    limits: Limits
    decision: Shape  # the outline of every question
    boxes: Mapping[str, tuple[float, float]]  # width and height
    answers: Mapping[Link, tuple[float, float]]


def measure(drawn: tuple[Subject, ...], limits: Limits = PLAIN, billed: tuple[Subject, ...] = ()) -> Room:
    """The room that a tree needs, whichever of these subjects is drawn. Of those `billed` only the bills differ."""
    tags = content.widest_tags(drawn[0])
    names = node_ids(drawn[0].tree)
    kinds = {name: kind_of(drawn[0].tree.nodes.get(name)) for name in names}
    parts = {name: [content.box_parts(one, name, tags[name]) for one in drawn] for name in names}
    decision = _decision(each for name in names if kinds[name] == "question" for each in parts[name])
    for one in billed:
        for name in one.bills:
            parts[name].append(content.box_parts(one, name, tags[name]))
    blocks = {
        name: tuple(measure_box(_shape(kinds[name], decision), each, limits) for each in dict.fromkeys(parts[name]))
        for name in names
    }
    return Room(
        limits,
        decision,
        {name: (max(one.width for one in found), max(one.height for one in found)) for name, found in blocks.items()},
        {link: _widest(drawn, link, limits) for link in links(drawn[0].tree)},
    )


def _widest(drawn: tuple[Subject, ...], link: Link, limits: Limits) -> tuple[float, float]:
    blocks = [answer_block(parts, limits) for parts in dict.fromkeys(content.answer_parts(one, link) for one in drawn)]
    return max(one.width for one in blocks), max(one.height for one in blocks) + 2 * CLEAR


def answer_block(parts: tuple[Part, ...], limits: Limits) -> Block:
    """The words of an answer, set."""
    return set_parts(parts, limits.answer)


def _decision(questions: Iterable[tuple[Part, ...]]) -> Shape:
    """One outline for all questions of a drawing: the diamond, where each of them fits a small one."""
    small = all(len(set_parts(parts, _DIAMOND_WIDTH).rows) <= _DIAMOND_ROWS for parts in questions)
    return "diamond" if small else "hexagon"


def shape_of(kind: Kind, room_for: Room) -> Shape:
    """The outline of a kind of node."""
    return _shape(kind, room_for.decision)


def _shape(kind: Kind, decision: Shape) -> Shape:
    shapes: Mapping[Kind, Shape] = {
        "question": decision,
        "outcome": "terminator",
        "onward": "connector",
        "missing": "process",
    }
    return shapes[kind]


def measure_box(shape: Shape, parts: tuple[Part, ...], limits: Limits) -> Measured:
    """The smallest good outline around some paragraphs."""
    block = set_parts(parts, _limit(shape, limits))
    width, height = room(shape, max(block.width, _LEAST_WIDTH), block.height)
    return Measured(shape, block, parts, width, height)


def fit_box(shape: Shape, parts: tuple[Part, ...], limits: Limits, width: float) -> Measured:
    """The same in room that was kept for longer words: shorter ones can need fewer lines, and these be wider."""
    found = measure_box(shape, parts, limits)
    over = found.width - width
    if over <= _SLACK:
        return found
    block = set_parts(parts, found.block.width - over)
    return Measured(shape, block, parts, *room(shape, max(block.width, _LEAST_WIDTH), block.height))


def _limit(shape: Shape, limits: Limits) -> float:
    if shape == "diamond":
        return _DIAMOND_WIDTH
    return limits.box if shape == "hexagon" else limits.end
