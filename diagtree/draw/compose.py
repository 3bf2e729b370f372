"""A tree to a picture: measured, placed, and fitted to a page."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagtree.draw.body import Body, place
from diagtree.draw.font import clean
from diagtree.draw.frame import Frame, make_frame
from diagtree.draw.paper import MARGIN, PAPERS, Paper, too_small
from diagtree.draw.picture import POINTS_PER_MM, Box, Line, Picture, overflow
from diagtree.draw.refusal import Refusal
from diagtree.draw.setting import NEAR, Sizes
from diagtree.draw.shape import Shape
from diagtree.draw.sizing import Way
from diagtree.draw.subject import Subject, subject
from diagtree.graph.trees import node_ids
from diagtree.model.engine import Engine
from diagtree.model.library import NOTICE, Library
from diagtree.model.tree import Tree

__all__ = ["compose", "overflow"]

_WAYS = tuple(
    Way(box, answer, across)
    for box, answer in ((165, 90), (130, 75), (110, 65), (210, 110))
    for across in (False, True)
)
_MANY = 150  # nodes from which only one way is tried: the engine's time grows faster than the tree
_LEAST_WIDTH = 480.0  # of a page of the drawing's own size: a title block needs some room
_LARGEST = 14000.0  # points: the side of a page that every reader of PDF still shows
_MARGIN = MARGIN * POINTS_PER_MM
_BANNER = 2.0  # a drawing wider than so many times its height
_STEPS = 8  # halvings in the search for the scale


def compose(library: Library, tree: Tree, engines: tuple[Engine, ...], paper: str = "") -> Picture | Refusal:
    """Draw a tree for the engines that it serves.

    Args:
        library: where its checks, faults and cautions stand.
        tree: the tree.
        engines: those drawn for, as `graph.serving.served` gives them.
        paper: A4 to A0, upright or lying as fits better; empty for a page of the drawing's own size.

    Returns:
        The picture, or a sentence: no layout engine, or print that would be too small on that paper.
    """
    drawn = subject(library, tree, engines)
    if not paper:
        return _own_size(drawn)
    return _on_paper(drawn, PAPERS[paper])


@dataclass(frozen=True, slots=True)
class _Page:
    """A sheet, or a page of the drawing's own size. In points."""

    paper: str
    width: float
    height: float
    margin: float


class _Bodies:
    """The ways in which one tree can be laid out, each asked for once."""

    def __init__(self, drawn: Subject) -> None:
        self.drawn = drawn
        self._known: dict[tuple[Sizes, Way], Body | Refusal] = {}

    def of(self, sizes: Sizes) -> Iterator[Body | Refusal]:
        """The bodies in type of these sizes."""
        for way in _WAYS if len(node_ids(self.drawn.tree)) < _MANY else _WAYS[:1]:
            if (sizes, way) not in self._known:
                self._known[sizes, way] = place(self.drawn, sizes, way)
            yield self._known[sizes, way]


def _own_size(drawn: Subject) -> Picture | Refusal:
    body = _handy(drawn)
    if isinstance(body, Refusal):
        return body
    width = max(body.width, _LEAST_WIDTH)
    frame = make_frame(drawn, NEAR, width, _decision(body))
    page = (width + 2 * _MARGIN, body.height + frame.height + 2 * _MARGIN)
    scale = min(1.0, _LARGEST / max(page))
    return _picture(drawn, body, frame, scale, _Page("", page[0] * scale, page[1] * scale, _MARGIN * scale))


def _handy(drawn: Subject) -> Body | Refusal:
    """Downwards; to the right where that spares a reader a long banner."""
    down = place(drawn, NEAR, _WAYS[0])
    if isinstance(down, Refusal) or down.width < _BANNER * down.height:
        return down
    across = place(drawn, NEAR, _WAYS[1])
    if isinstance(across, Refusal):
        return across
    return min(down, across, key=lambda body: max(body.width, body.height))


def _on_paper(drawn: Subject, paper: Paper) -> Picture | Refusal:
    bodies = _Bodies(drawn)
    best = _largest(bodies, paper)
    if isinstance(best, Refusal):
        return best
    complaint = too_small(best, paper)
    return Refusal(f"{complaint[0].upper()}{complaint[1:]}: {_instead(bodies, paper)}") if complaint else best


def _instead(bodies: _Bodies, paper: Paper) -> str:
    """The paper that holds the tree: the next larger one, else the largest of those read from near."""
    others = [other for other in PAPERS.values() if other.long > paper.long]
    others += [other for other in reversed(tuple(PAPERS.values())) if other.long < paper.long]
    for other in others:
        found = _largest(bodies, other)
        if isinstance(found, Picture) and not too_small(found, other):
            return f"use --paper {other.name}."
    return "no paper up to A0 holds this tree, so leave --paper out for a page of its own size."


def _largest(bodies: _Bodies, paper: Paper) -> Picture | Refusal:
    """The way of laying out and of turning the sheet that gives the largest print."""
    best: tuple[float, Body, tuple[float, float]] | None = None
    for body in bodies.of(paper.sizes):
        if isinstance(body, Refusal):
            return body
        for sheet in paper.sheets:
            scale = _scale(bodies.drawn, body, paper, sheet, best[0] if best else 0.0)
            if best is None or scale > best[0]:
                best = scale, body, sheet
    assert best is not None
    scale, body, sheet = best
    frame = make_frame(bodies.drawn, paper.sizes, (sheet[0] - 2 * _MARGIN) / scale, _decision(body))
    return _picture(bodies.drawn, body, frame, scale, _Page(paper.name, *sheet, _MARGIN))


def _scale(drawn: Subject, body: Body, paper: Paper, sheet: tuple[float, float], beaten: float) -> float:
    """The largest scale at which the tree and its panels fit between a sheet's margins; 0 where it is below `beaten`.

    A smaller scale leaves more width, in which the panels are lower: what fits at one scale fits at each below it.
    """
    across, down = sheet[0] - 2 * _MARGIN, sheet[1] - 2 * _MARGIN

    def height(scale: float) -> float:
        return body.height + make_frame(drawn, paper.sizes, across / scale, _decision(body)).height

    most = min(across / body.width, down / body.height, paper.largest_question / paper.sizes.question)
    if most <= beaten:
        return 0.0
    if height(most) * most <= down:
        return most
    low, high = min(most, down / height(most)), most  # at `most` the panels are at their highest
    for _ in range(_STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if height(middle) * middle <= down else (low, middle)
    return low


def _decision(body: Body) -> Shape:
    return next((box.shape for box in body.boxes if box.kind == "question"), "diamond")


def _picture(drawn: Subject, body: Body, frame: Frame, scale: float, page: _Page) -> Picture:
    """Put the tree in the middle of what its panels leave."""
    width, height, margin = page.width, page.height, page.margin
    inner = height - 2 * margin - frame.height * scale
    left = (width - body.width * scale) / 2
    top = margin + frame.above_height * scale + max(0.0, inner - body.height * scale) / 2
    foot = height - margin - _ink(frame) * scale

    def at_foot(part: Box) -> Box:
        return part.placed(scale, margin, foot)

    def sample(line: Line) -> Line:
        return line.placed(scale, margin, foot)

    return Picture(
        id=drawn.tree.id,
        title=clean(drawn.tree.title),
        description=_description(drawn),
        width=width,
        height=height,
        scale=scale,
        paper=page.paper,
        nodes=tuple(box.placed(scale, left, top) for box in body.boxes),
        lines=tuple(line.placed(scale, left, top) for line in body.lines),
        panels=(*(box.placed(scale, margin, margin) for box in frame.above), *map(at_foot, frame.below)),
        samples=tuple(map(sample, frame.samples)),
    )


def _ink(frame: Frame) -> float:
    """How far down the legend reaches."""
    return max((box.extent.bottom for box in frame.below), default=0.0)


def _description(drawn: Subject) -> str:
    tree = drawn.tree
    counts = f"{len(tree.questions)} questions, {len(tree.outcomes)} outcomes"
    return clean(f"Fault tree: {tree.title}. {counts}. {NOTICE}")
