"""A tree cut into pieces that each run from left to right, without a line that crosses another.

A node that several answers lead to has a line from one of them; the others end in a connector with its address, as
ISO 5807 has it for a line that is broken and taken up elsewhere. Where a piece would grow wider than it may, a
question starts a piece of its own. Lengths in points.
"""

import math
from collections import deque
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from diagtree.draw.sizing import Room
from diagtree.graph.trees import Link, links, node_ids
from diagtree.model.tree import Tree

RAIL = 7.0  # from a question to the upright that its answers leave
STUB = 11.0  # from there to an answer's words: room to see that a line is dashed
MERGE = 4.0  # from the words to the upright where several answers meet
ARROW = 12.0  # from there to the next box
CIRCLE = 18.0  # a connector's width
GAP = 3.5  # between what stands one below the other
BETWEEN = 2.0  # between answers that lead to one box

Rect = tuple[float, float, float, float]  # left, top, right, bottom


@dataclass(frozen=True, slots=True)
class Group:
    """The answers of a question that lead to one node."""

    source: str
    target: str
    links: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something stands in a piece: its left edge and the height of its middle."""

    left: float
    middle: float


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A part of a tree, placed, from its own top left corner."""

    root: str
    width: float
    height: float
    boxes: Mapping[str, Spot]
    words: Mapping[Link, Spot]
    references: Mapping[Group, Spot]  # a connector in place of a line
    rects: tuple[Rect, ...]  # what is taken


Known = dict[tuple[str, frozenset[Group]], Piece]


def groups_of(tree: Tree) -> Mapping[str, tuple[Group, ...]]:
    """Each question's answers by where they lead, in file order."""
    found: dict[str, dict[str, list[Link]]] = {}
    for link in links(tree):
        found.setdefault(link.source, {}).setdefault(link.target, []).append(link)
    return {
        source: tuple(Group(source, target, tuple(each)) for target, each in by_target.items())
        for source, by_target in found.items()
    }


def cut(
    tree: Tree, room: Room, reach: float = math.inf, roots: Collection[str] = (), known: Known | None = None
) -> tuple[Piece, ...]:
    """Cut a tree into pieces, in the order in which they are met.

    Args:
        tree: the tree.
        room: of its boxes and words.
        reach: how wide a piece may grow, where that can be.
        roots: questions that start a piece in any case.
        known: pieces made before, by what they hold; new ones are added.
    """
    cutter = _Cutter(tree, room, reach, frozenset(roots))
    cutter.run()
    known = {} if known is None else known
    made = []
    for root in cutter.roots:
        key = root, frozenset(cutter.below[root])
        if key not in known:
            known[key] = _Branch(cutter, root).piece()
        made.append(known[key])
    return tuple(made)


class _Cutter:
    """Which node stands under which question, and which starts a piece."""

    def __init__(self, tree: Tree, room: Room, reach: float, apart: frozenset[str]) -> None:
        self.tree, self.room, self.reach, self.apart = tree, room, reach, apart
        self.below: dict[str, list[Group]] = {}  # piece -> the lines in it
        self.groups = groups_of(tree)
        self.roots: list[str] = []
        self.held: set[Group] = set()  # those drawn with a line
        self._met: set[str] = set()
        self._advances: dict[str, float] = {}  # asked for again and again

    def run(self) -> None:
        """From the start; then from whatever no answer leads to."""
        for name in (self.tree.start, *node_ids(self.tree)):
            if name not in self._met and (name in self.tree.nodes or name != self.tree.start):
                self._met.add(name)
                self.roots.append(name)
                self._follow()

    def _follow(self) -> None:
        at = len(self.roots) - 1
        while at < len(self.roots):
            self._fill(self.roots[at])
            at += 1

    def _fill(self, root: str) -> None:
        waiting = deque([(root, 0.0)])
        below = self.below[root] = []
        while waiting:
            name, left = waiting.popleft()
            further = left + self.advance(name)
            for group in self.groups.get(name, ()):
                target = group.target
                if target in self._met:
                    continue
                self._met.add(target)
                wide = target in self.groups and further + self.advance(target) + CIRCLE > self.reach
                if wide or target in self.apart:
                    self.roots.append(target)
                    continue
                self.held.add(group)
                below.append(group)
                waiting.append((target, further))

    def advance(self, name: str) -> float:
        """From a question's left edge to that of the boxes that its answers lead to."""
        found = self._advances.get(name)
        if found is None:
            found = self.room.boxes[name][0] + RAIL + STUB + self.column(name) + MERGE + ARROW
            self._advances[name] = found
        return found

    def column(self, name: str) -> float:
        """How wide the words of a question's answers are."""
        return max(
            (self.room.answers[link][0] for group in self.groups.get(name, ()) for link in group.links), default=0.0
        )


class _Branch:
    """A node with everything that hangs from it. Measured from the node's left edge and the height of its middle."""

    def __init__(self, cutter: _Cutter, name: str) -> None:
        self.cutter, self.name = cutter, name
        width, height = cutter.room.boxes[name]
        self.rects: list[Rect] = [(0.0, -height / 2, width, height / 2)]
        self.boxes = {name: Spot(0.0, 0.0)}
        self.words: dict[Link, Spot] = {}
        self.references: dict[Group, Spot] = {}
        groups = cutter.groups.get(name, ())
        if groups:
            self._hang(groups, width + RAIL)

    def _hang(self, groups: Sequence[Group], rail: float) -> None:
        middles: list[float] = []
        parts: list[_Branch | Group] = []
        stacked: list[tuple[list[Rect], float]] = []
        taken: list[Rect] = []
        for group in groups:
            part = _Branch(self.cutter, group.target) if group in self.cutter.held else group
            rects = self._group_rects(group, part, rail)
            drop = _drop(taken, rects)
            taken += [_moved(rect, 0.0, drop) for rect in rects]
            middles.append(drop)
            parts.append(part)
            stacked.append((rects, drop))
        centre = (middles[0] + middles[-1]) / 2
        for group, part, (rects, drop) in zip(groups, parts, stacked, strict=True):
            self._take(group, part, rects, drop - centre, rail)
        self.rects.append((rail - RAIL, middles[0] - centre - 1, rail + STUB, middles[-1] - centre + 1))

    def _group_rects(self, group: Group, part: "_Branch | Group", rail: float) -> list[Rect]:
        height = self._stack(group)
        left = self.cutter.advance(self.name)
        rects = [(rail, -height / 2, left, height / 2)]
        if isinstance(part, _Branch):
            return rects + [_moved(rect, left, 0.0) for rect in part.rects]
        return [*rects, (left, -CIRCLE / 2, left + CIRCLE, CIRCLE / 2)]

    def _stack(self, group: Group) -> float:
        heights = [self.cutter.room.answers[link][1] for link in group.links]
        return sum(heights) + BETWEEN * (len(heights) - 1)

    def _take(self, group: Group, part: "_Branch | Group", rects: list[Rect], down: float, rail: float) -> None:
        left = self.cutter.advance(self.name)
        self.rects += [_moved(rect, 0.0, down) for rect in rects]
        top = down - self._stack(group) / 2
        for link in group.links:
            height = self.cutter.room.answers[link][1]
            self.words[link] = Spot(rail + STUB, top + height / 2)
            top += height + BETWEEN
        if isinstance(part, _Branch):
            self.boxes |= {name: _shifted(spot, left, down) for name, spot in part.boxes.items()}
            self.words |= {link: _shifted(spot, left, down) for link, spot in part.words.items()}
            self.references |= {one: _shifted(spot, left, down) for one, spot in part.references.items()}
        else:
            self.references[group] = Spot(left, down)

    def piece(self) -> Piece:
        """The finished piece."""
        top = min(rect[1] for rect in self.rects)
        return Piece(
            self.name,
            max(rect[2] for rect in self.rects),
            max(rect[3] for rect in self.rects) - top,
            {name: _shifted(spot, 0.0, -top) for name, spot in self.boxes.items()},
            {link: _shifted(spot, 0.0, -top) for link, spot in self.words.items()},
            {group: _shifted(spot, 0.0, -top) for group, spot in self.references.items()},
            tuple(_moved(rect, 0.0, -top) for rect in self.rects),
        )


def _drop(above: list[Rect], rects: list[Rect]) -> float:
    """How far down `rects` must go to stand clear below `above`."""
    if not above:
        return 0.0
    return max(
        (upper[3] + GAP - lower[1] for upper in above for lower in rects if _side_by_side(upper, lower)), default=0.0
    )


def _side_by_side(one: Rect, other: Rect) -> bool:
    return one[0] < other[2] + GAP and other[0] < one[2] + GAP


def _moved(rect: Rect, right: float, down: float) -> Rect:
    return rect[0] + right, rect[1] + down, rect[2] + right, rect[3] + down


def _shifted(spot: Spot, right: float, down: float) -> Spot:
    return Spot(spot.left + right, spot.middle + down)
