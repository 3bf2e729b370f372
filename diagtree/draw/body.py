"""A tree as placed boxes and lines, at natural size, before there is a page around it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagtree.draw import content
from diagtree.draw.content import Tag
from diagtree.draw.path import INK_PEN, LINE_PEN, SHADE
from diagtree.draw.picture import Border, Box, Line, Word
from diagtree.draw.pieces import CIRCLE, MERGE, RAIL, Group, groups_of
from diagtree.draw.plan import Plan
from diagtree.draw.setting import SIZES, Part, set_parts
from diagtree.draw.shape import Extent, Point, middle
from diagtree.draw.sizing import CLEAR, answer_block, fit_box, shape_of
from diagtree.draw.subject import Subject
from diagtree.draw.wires import route
from diagtree.graph.trees import Link, kind_of
from diagtree.model.tree import Onward

_HEAD = 7.0  # length of an arrowhead
_BESIDE = 2.0  # between a line's end and the words on it


@dataclass(frozen=True, slots=True)
class Show:
    """What a drawing shows of a tree, beyond what it says. Empty: the whole tree, in even lines."""

    left_out: frozenset[str] = frozenset()  # nodes that the build never meets
    builds: frozenset[str] = frozenset()  # whose hours and parts stand at the ends; empty: every build's
    passed: frozenset[str] = frozenset()  # questions that do not apply to the build: only `else` is taken
    steps: Mapping[str, int] = field(default_factory=dict)  # node on the path taken -> its number, from 1
    taken: frozenset[Link] = frozenset()  # answers on it
    pens: Mapping[Link, float] = field(default_factory=dict)  # natural line widths
    tones: Mapping[str, float] = field(default_factory=dict)  # grounds of the ends
    shares: Mapping[str, str] = field(default_factory=dict)  # how often a car ends there


@dataclass(frozen=True, slots=True)
class Body:
    """The placed tree. Points, from its own top left corner."""

    width: float
    height: float
    boxes: tuple[Box, ...]
    lines: tuple[Line, ...]
    references: tuple[Box, ...]


def place(plan: Plan, subject: Subject, show: Show) -> Body:
    """Put boxes, words and lines where the plan has them."""
    maker = _Maker(plan, subject, show)
    drawn = [link for link in plan.words if maker.shown(link)]
    held = [group for group in plan.references if any(maker.shown(link) for link in group.links)]
    return Body(
        plan.width,
        plan.height,
        tuple(maker.box(name) for name in plan.boxes if name not in show.left_out),
        tuple(maker.line(link) for link in drawn),
        tuple(maker.reference(group) for group in held),
    )


class _Maker:
    """Boxes and lines of one drawing."""

    def __init__(self, plan: Plan, subject: Subject, show: Show) -> None:
        self.plan, self.subject, self.show = plan, subject, show
        self.groups = {
            link: group for found in groups_of(subject.tree).values() for group in found for link in group.links
        }
        self.said: dict[str, str] = {}
        self.columns: dict[str, float] = {}
        self.sources: dict[str, list[str]] = {}
        for link in plan.words:
            width = plan.room.answers[link][0]
            self.columns[link.source] = max(self.columns.get(link.source, 0.0), width)
        for group in plan.references:
            if any(self.shown(link) for link in group.links):
                self.sources.setdefault(group.target, []).append(plan.grid.addresses[group.source])

    def shown(self, link: Link) -> bool:
        gone = self.show.left_out
        if link.source in gone or link.target in gone:
            return False
        return link.source not in self.show.passed or link.key == "else"

    def tag(self, name: str) -> Tag:
        return Tag(
            self.plan.grid.addresses[name],
            tuple(self.sources.get(name, ())),
            self.show.steps.get(name, 0),
            self.show.shares.get(name, ""),
        )

    def box(self, name: str) -> Box:
        node = self.subject.tree.nodes.get(name)
        kind = kind_of(node)
        parts = content.box_parts(self.subject, name, self.tag(name))
        extent = self.plan.boxes[name]
        measured = fit_box(shape_of(kind, self.plan.room), parts, self.plan.room.limits, extent.width)
        said = self.said[name] = content.spoken(parts)  # the lines to it say it too
        tone = self.show.tones.get(name, SHADE if kind == "outcome" else 1.0)
        return Box(
            id=name,
            kind=kind,
            shape=measured.shape,
            extent=extent,
            words=measured.block.centred(*middle(measured.shape, extent)),
            title=said,
            border=self._border(name),
            tone=tone,
            target=node.tree if isinstance(node, Onward) else "",
            address=self.plan.grid.addresses[name],
        )

    def _border(self, name: str) -> Border:
        if name in self.show.steps:
            return "inked"
        if name in self.show.passed:
            return "dotted"
        return "heavy" if name == self.subject.tree.start else "single"

    def line(self, link: Link) -> Line:
        parts = content.answer_parts(self.subject, link)
        block = answer_block(parts, self.plan.room.limits)
        left, level = self.plan.words[link]
        height = max(self.plan.room.answers[link][1], block.height + 2 * CLEAR)
        extent = Extent(left, level - height / 2, block.width + 2 * _BESIDE, height)
        first, last, tip = self._curves(link, extent)
        asked, then = (self._spoken(name) for name in (link.source, link.target))
        inked = link in self.show.taken
        return Line(
            source=link.source,
            target=link.target,
            key=link.key,
            curves=(first, last),
            arrow=tip,
            words=block.from_left(left + _BESIDE, level - block.height / 2),
            extent=extent,
            title=f"{asked} {content.on_one_line(parts)}: {then}",
            dashed=content.is_else(self.subject, link),
            pen=INK_PEN if inked else self.show.pens.get(link, LINE_PEN),
            inked=inked,
        )

    def _curves(self, link: Link, words: Extent) -> tuple[tuple[Point, ...], tuple[Point, ...], Point]:
        source, level = self.plan.boxes[link.source], words.centre[1]
        rail = source.right + RAIL
        merge = words.left + self.columns[link.source] + MERGE
        tip = self._entry(self.groups[link])
        first = route((source.right, source.centre[1]), (rail, source.centre[1]), (rail, level), (words.left, level))
        last = route((words.right, level), (merge, level), (merge, tip[1]), (tip[0] - _HEAD, tip[1]))
        return first, last, tip

    def _entry(self, group: Group) -> Point:
        if group in self.plan.references:
            return self.plan.references[group]
        target = self.plan.boxes[group.target]
        return target.left, target.centre[1]

    def reference(self, group: Group) -> Box:
        left, level = self.plan.references[group]
        extent = Extent(left, level - CIRCLE / 2, CIRCLE, CIRCLE)
        return Box(
            id=f"{group.source}--{group.target}",
            kind="reference",
            shape="circle",
            extent=extent,
            words=_address(self.plan.grid.addresses[group.target], extent),
            title=f"goes on at {self.plan.grid.addresses[group.target]}: {self._spoken(group.target)}",
            target=group.target,
        )

    def _spoken(self, name: str) -> str:
        if name not in self.said:
            self.said[name] = content.spoken(content.box_parts(self.subject, name, Tag("")))
        return self.said[name]


def _address(text: str, extent: Extent) -> tuple[Word, ...]:
    """An address in a circle, as large as it goes in."""
    block = set_parts((Part(text, "heading", SIZES.answer, bold=True),), CIRCLE * 3)
    words = block.centred(*extent.centre)
    room = CIRCLE - 1.0
    across = (block.width**2 + words[0].extent.height ** 2) ** 0.5
    if across <= room:
        return words
    fitted = set_parts((Part(text, "heading", SIZES.answer * room / across, bold=True),), CIRCLE * 3)
    return fitted.centred(*extent.centre)
