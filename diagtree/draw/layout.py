"""The one door to the layout engine: DOT text in, coordinates out.

The engine gives places only; nothing is painted by it and no file is written. pygraphviz carries the engine with it.
Where pygraphviz does not import, a `dot` on the PATH is asked through the graphviz package.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from diagtree.draw.picture import Curve
from diagtree.draw.refusal import Refusal
from diagtree.draw.shape import Point

_FORMAT = "json0"  # the graph with places, without drawing operations

NO_ENGINE = (
    "Drawing needs a layout engine and none was found: install pygraphviz (python -m pip install pygraphviz), "
    "or the program dot of the graphviz package of your system."
)


@dataclass(frozen=True, slots=True)
class Route:
    """The way of an edge, and the tip of its arrowhead where it has one: the curve ends at the arrowhead's base."""

    curve: Curve
    tip: Point | None = None


@dataclass(frozen=True, slots=True)
class Layout:
    """Places in points from the top left corner of the drawing; y runs down."""

    width: float
    height: float
    centres: Mapping[str, Point]  # of each node, by name
    routes: Mapping[tuple[str, str], Route]  # of each edge, by the names of its tail and head


def lay_out(dot: str) -> Layout | Refusal:
    """Place the nodes and edges of a DOT graph in which no two edges share both ends."""
    answer = _ask_library(dot)
    if answer is None:
        answer = _ask_program(dot)
    return answer if isinstance(answer, Refusal) else _read(json.loads(answer))


def _ask_library(dot: str) -> bytes | Refusal | None:
    """The engine's answer through pygraphviz; None where that does not import."""
    try:
        import pygraphviz
    except ImportError:  # not installed, or a system library that it needs is not there
        return None
    try:
        made: bytes = pygraphviz.AGraph(string=dot).draw(format=_FORMAT, prog="dot")
    except (OSError, ValueError, RuntimeError) as error:
        return _failed(error)
    return made


def _ask_program(dot: str) -> bytes | Refusal:
    import graphviz

    try:
        made: bytes = graphviz.pipe("dot", _FORMAT, dot.encode(), quiet=True)
    except graphviz.ExecutableNotFound:
        return Refusal(NO_ENGINE)
    except (OSError, graphviz.CalledProcessError) as error:
        return _failed(error)
    return made


def _failed(error: Exception) -> Refusal:
    return Refusal(
        f"The layout engine gave up on this tree ({type(error).__name__}): draw a smaller tree, or use .dot."
    )


def _read(graph: Mapping[str, Any]) -> Layout:
    """The engine measures upwards from the lower left corner: turn it round."""
    left, bottom, right, top = _numbers(graph["bb"])

    def place(x: float, y: float) -> Point:
        return round(x - left, 2), round(top - y, 2)

    objects = [found for found in graph.get("objects", []) if "pos" in found]  # a group has none
    names = {found["_gvid"]: found["name"] for found in objects}
    centres = {found["name"]: place(*_numbers(found["pos"])) for found in objects}
    routes = {(names[edge["tail"]], names[edge["head"]]): _route(edge["pos"], place) for edge in graph.get("edges", [])}
    return Layout(round(right - left, 2), round(top - bottom, 2), centres, routes)


def _numbers(text: str) -> tuple[float, ...]:
    return tuple(map(float, text.split(",")))


def _route(text: str, place: Callable[[float, float], Point]) -> Route:
    """Read `e,x,y x,y x,y ...`: the tip, where there is one, then the control points."""
    tipped = text.startswith("e,")
    numbers = [_numbers(point) for point in text.removeprefix("e,").split()]
    points = tuple(place(x, y) for x, y in numbers)
    return Route(points[1:], points[0]) if tipped else Route(points)
