"""How large each box and each answer's words are, before anybody knows where they will stand."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagtree.draw import content
from diagtree.draw.setting import Block, Part, Sizes, set_parts
from diagtree.draw.shape import Shape, room
from diagtree.draw.subject import Subject
from diagtree.graph.trees import Kind, Link, kind_of, node_ids

_CLEAR = (4.0, 1.0)  # around an answer's words, where its line is broken
_DIAMOND_ROWS = 4  # more lines than this in a box and the questions are drawn as hexagons
_DIAMOND_WIDTH = 100.0
_LEAST_WIDTH = 46.0


@dataclass(frozen=True, slots=True)
class Way:
    """How to lay a tree out: widest words of a box and of an answer, in points, and whether it runs to the right."""

    box: float
    answer: float
    across: bool = False


@dataclass(frozen=True, slots=True)
class Measured:
    """An outline with its words, without a place. `name` is what the layout calls it."""

    name: str
    shape: Shape
    block: Block
    parts: tuple[Part, ...]
    width: float
    height: float


def measure_boxes(subject: Subject, sizes: Sizes, way: Way) -> Mapping[str, Measured]:
    """Every node's box, by the node's id."""
    names = node_ids(subject.tree)
    parts = {name: content.box_parts(subject, name, sizes) for name in names}
    kinds = {name: kind_of(subject.tree.nodes.get(name)) for name in names}
    decision = _decision([parts[name] for name in names if kinds[name] == "question"])
    return {
        name: _measure_box(f"n{number}", _shape(kinds[name], decision), parts[name], way)
        for number, name in enumerate(names)
    }


def measure_answer(subject: Subject, link: Link, sizes: Sizes, way: Way, name: str) -> Measured:
    """The words on an answer's line, with the gap that they break into it."""
    parts = (Part(content.line_words(subject, link), "answer", sizes.answer),)
    block = set_parts(parts, way.answer)
    return Measured(name, "panel", block, parts, block.width + 2 * _CLEAR[0], block.height + 2 * _CLEAR[1])


def _decision(questions: list[tuple[Part, ...]]) -> Shape:
    """One outline for all questions of a drawing: the diamond, where each of them fits a small one."""
    small = all(len(set_parts(parts, _DIAMOND_WIDTH).rows) <= _DIAMOND_ROWS for parts in questions)
    return "diamond" if small else "hexagon"


def _shape(kind: Kind, decision: Shape) -> Shape:
    shapes: Mapping[Kind, Shape] = {
        "question": decision,
        "outcome": "terminator",
        "onward": "connector",
        "missing": "process",
    }
    return shapes[kind]


def _measure_box(name: str, shape: Shape, parts: tuple[Part, ...], way: Way) -> Measured:
    block = set_parts(parts, min(way.box, _DIAMOND_WIDTH) if shape == "diamond" else way.box)
    width, height = room(shape, max(block.width, _LEAST_WIDTH), block.height)
    return Measured(name, shape, block, parts, width, height)
