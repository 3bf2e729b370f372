"""A tree to a picture: laid out, said, and fitted to a page."""

from dataclasses import dataclass, field, replace

from diagtree.draw.body import Show, place
from diagtree.draw.codebox import REMARK, lacking
from diagtree.draw.font import clean
from diagtree.draw.frame import Frame, make_frame
from diagtree.draw.legend import Extras
from diagtree.draw.margin import grid_marks
from diagtree.draw.paper import MARGIN, PAPERS, Paper, too_small
from diagtree.draw.picture import POINTS_PER_MM, Box, Line, Picture, overflow
from diagtree.draw.plan import EDGE, Plan, lay_out
from diagtree.draw.refusal import Refusal
from diagtree.draw.setting import SIZES
from diagtree.draw.subject import Subject, of_builds, subject
from diagtree.model.engine import Engine
from diagtree.model.library import NOTICE, Library
from diagtree.model.tree import Tree
from diagtree.source.collector import paused

__all__ = ["compose", "overflow"]

HAND = ""
WALL = "wall"
# The scale of a page of the drawing's own size. In the hand: questions 14 pt, small print 7. On a wall: 24 and 12.
_OWN = {HAND: 1.4, WALL: 2.4}
_LEAST_WIDTH = 420.0  # of a page of the drawing's own size: a title block needs some room
_LARGEST = 14000.0  # points: the side of a page that every reader of PDF still shows
_MARGIN = MARGIN * POINTS_PER_MM
_STEPS = 12  # halvings in the search for the scale


@dataclass(frozen=True, slots=True)
class Look:
    """What a drawing shows beyond what the tree says, and what its legend says of that."""

    show: Show = field(default_factory=Show)
    extras: Extras = field(default_factory=Extras)


_PLAIN = Look()


@paused()
def compose(
    library: Library, tree: Tree, engines: tuple[Engine, ...], paper: str = HAND, look: Look = _PLAIN
) -> Picture | Refusal:
    """Draw a tree.

    Args:
        library: where its checks, faults and cautions stand.
        tree: the tree.
        engines: those drawn for, as `graph.serving.served` gives them, or one of them.
        paper: one of `paper.PAPERS`, upright or lying as fits better; or `HAND` or `WALL`, a page of the drawing's own
            size with type to be read in the hand or from a wall.
        look: what is shown beyond the tree.

    Returns:
        The picture, or a sentence where print would be too small on that paper.
    """
    plan = lay_out(library, tree)
    # Most are drawn for the engines that they were measured for.
    known = (one for one in plan.subjects if tuple(map(id, one.engines)) == tuple(map(id, engines)))
    whole = next(known, None) or subject(library, tree, engines)
    drawn = _Drawn(plan, of_builds(whole, look.show.builds) if look.show.builds else whole, look)
    if paper in {HAND, WALL}:
        return drawn.own_size(_OWN[paper])
    return _on_paper(drawn, PAPERS[paper])


@dataclass(frozen=True, slots=True)
class _Page:
    """A sheet, or a page of the drawing's own size. In points."""

    paper: str
    width: float
    height: float
    margin: float


class _Drawn:
    """A tree laid out, for pages of any size."""

    def __init__(self, plan: Plan, of: Subject, look: Look) -> None:
        self.plan, self.subject = plan, of
        self.body = place(plan, of, look.show)
        words = [word.text for box in self.body.boxes for word in box.words]
        words += [word.text for line in self.body.lines for word in line.words]
        remark = REMARK if lacking((of.tree.title, *words)) else ""
        passed = any(box.border == "dotted" for box in self.body.boxes)
        self.extras = replace(look.extras, references=bool(self.body.references), passed=passed, remark=remark)
        self.width, self.height = plan.width + 2 * EDGE, plan.height + 2 * EDGE
        self._frames: dict[float, Frame] = {}

    def frame(self, width: float) -> Frame:
        near = round(width, 6)  # the same width comes by way of a sheet, a last digit off
        found = self._frames.get(near)
        if found is None:
            found = self._frames[near] = make_frame(self.subject, width, self.plan.room.decision, self.extras)
        return found

    def own_size(self, wanted: float) -> Picture:
        """A page as large as the drawing."""
        width = max(self.width, _LEAST_WIDTH)
        height = self.height + self.frame(width).height
        scale = min(wanted, (_LARGEST - 2 * _MARGIN) / max(width, height))
        page = _Page("", width * scale + 2 * _MARGIN, height * scale + 2 * _MARGIN, _MARGIN)
        return _picture(self, scale, page)

    def on(self, paper: Paper) -> Picture:
        """The sheet turned so that it gives the largest print."""
        scale, sheet = max((self._scale(paper, sheet), sheet) for sheet in paper.sheets)
        return _picture(self, scale, _Page(paper.name, *sheet, paper.margin * POINTS_PER_MM))

    def _scale(self, paper: Paper, sheet: tuple[float, float]) -> float:
        """The largest scale at which the tree and its panels fit between a sheet's margins.

        A smaller scale leaves more width, in which the panels are lower: what fits at one scale fits at each below it.
        """
        across, down = (side - 2 * paper.margin * POINTS_PER_MM for side in sheet)
        most = min(across / self.width, down / self.height, paper.largest_question / SIZES.question)

        def fits(scale: float) -> bool:
            return (self.height + self.frame(across / scale).height) * scale <= down

        if fits(most):
            return most
        low, high = 0.0, most
        for _ in range(_STEPS):
            middle = (low + high) / 2
            low, high = (middle, high) if fits(middle) else (low, middle)
        return low or high / 2


def _on_paper(drawn: _Drawn, paper: Paper) -> Picture | Refusal:
    made = drawn.on(paper)
    complaint = too_small(made, paper)
    return Refusal(f"{complaint[0].upper()}{complaint[1:]}: {_instead(drawn, paper)}") if complaint else made


def _instead(drawn: _Drawn, paper: Paper) -> str:
    """The paper that holds the tree: the next larger one, else the largest of those read from near, else a poster."""
    metric = [other for other in PAPERS.values() if other.metric == paper.metric]
    others = [other for other in metric if other.long > paper.long]
    others += [other for other in reversed(metric) if other.long < paper.long]
    for other in others:
        if not too_small(drawn.on(other), other):
            return f"use --paper {other.name}."
    own = drawn.own_size(_OWN[WALL])
    size = f"{own.width / POINTS_PER_MM:.0f} x {own.height / POINTS_PER_MM:.0f} mm"
    sheet = "A4" if paper.metric else "Letter"
    return f"no paper holds this tree in that type; --tiles {sheet} without --paper makes a poster of {size}."


def _picture(drawn: _Drawn, scale: float, page: _Page) -> Picture:
    """Put the tree in the middle of what its panels leave."""
    width, height, margin = page.width, page.height, page.margin
    frame, body = drawn.frame((width - 2 * margin) / scale), drawn.body
    inner = height - 2 * margin - frame.height * scale
    left = (width - drawn.width * scale) / 2 + EDGE * scale
    top = margin + frame.above_height * scale + max(0.0, inner - drawn.height * scale) / 2 + EDGE * scale
    foot = height - margin - _ink(frame) * scale
    marks, ticks = grid_marks(drawn.plan.grid)

    def put(box: Box) -> Box:
        return box.placed(scale, left, top)

    def at_foot(part: Box) -> Box:
        return part.placed(scale, margin, foot)

    def sample(line: Line) -> Line:
        return line.placed(scale, margin, foot)

    tree = drawn.subject.tree
    return Picture(
        id=tree.id,
        title=clean(tree.title),
        description=_description(tree),
        width=width,
        height=height,
        scale=scale,
        paper=page.paper,
        nodes=tuple(map(put, body.boxes)),
        lines=tuple(line.placed(scale, left, top) for line in body.lines),
        panels=(
            *(box.placed(scale, margin, margin) for box in frame.above),
            *map(at_foot, frame.below),
            *map(put, marks),
        ),
        references=tuple(map(put, body.references)),
        samples=(*map(sample, frame.samples), *(line.placed(scale, left, top) for line in ticks)),
        issue=_issue(tree),
    )


def _ink(frame: Frame) -> float:
    """How far down the legend reaches."""
    return max((box.extent.bottom for box in frame.below), default=0.0)


def _description(tree: Tree) -> str:
    counts = f"{len(tree.questions)} questions, {len(tree.outcomes)} outcomes"
    return clean(f"Fault tree: {tree.title}. {counts}. {NOTICE}")


def _issue(tree: Tree) -> str:
    revision = f"Revision {tree.revision}" if tree.revision else ""
    return clean(", ".join(filter(None, (revision, str(tree.date or "")))))
