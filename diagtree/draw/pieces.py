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

RAIL = 6.0  # from a question to the upright that its answers leave
STUB = 10.0  # from there to an answer's words: room to see that a line is dashed
MERGE = 8.0  # from the widest words to the upright where several answers meet: that each is seen to go on
ARROW = 10.0  # from there to the next box
CIRCLE = 20.0  # a connector's width: an address in the size of answers
GAP = 3.0  # between what stands one below the other
BETWEEN = 1.5  # between answers that lead to one box

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


def groups_of(tree: Tree) -> Mapping[str, tuple[Group, ...]]:
    """Each question's answers by where they lead, in file order."""
    found: dict[str, dict[str, list[Link]]] = {}
    for link in links(tree):
        found.setdefault(link.source, {}).setdefault(link.target, []).append(link)
    return {
        source: tuple(Group(source, target, tuple(each)) for target, each in by_target.items())
        for source, by_target in found.items()
    }


class Cutter:
    """One tree with the room that it takes, to be cut in many ways. What is alike in some of them is made once."""

    def __init__(self, tree: Tree, room: Room) -> None:
        self.tree, self.room = tree, room
        self.names = node_ids(tree)
        self.groups = groups_of(tree)
        self._advances: dict[str, float] = {}
        self._branches: dict[tuple[str, tuple[int, ...]], _Branch] = {}
        self._pieces: dict[int, Piece] = {}

    def cut(self, reach: float = math.inf, roots: Collection[str] = ()) -> tuple[Piece, ...]:
        """Cut it into pieces, in the order in which they are met.

        Args:
            reach: how wide a piece may grow, where that can be.
            roots: questions that start a piece in any case.

        Returns:
            Two pieces that hold the same are the same object.
        """
        split = _Split(self, reach, frozenset(roots))
        split.run()
        return tuple(self._piece(self._branch(root, split.held)) for root in split.roots)

    def advance(self, name: str) -> float:
        """From a question's left edge to that of the boxes that its answers lead to."""
        found = self._advances.get(name)
        if found is None:
            answers = self.room.answers
            column = max((answers[link][0] for group in self.groups.get(name, ()) for link in group.links), default=0.0)
            found = self._advances[name] = self.room.boxes[name][0] + RAIL + STUB + column + MERGE + ARROW
        return found

    def _branch(self, name: str, held: Mapping[str, Group]) -> "_Branch":
        parts = tuple(
            self._branch(group.target, held) if held.get(group.target) is group else group
            for group in self.groups.get(name, ())
        )
        key = name, tuple(map(id, parts))
        found = self._branches.get(key)
        if found is None:
            found = self._branches[key] = _Branch(self, name, parts)
        return found

    def _piece(self, branch: "_Branch") -> Piece:
        found = self._pieces.get(id(branch))
        if found is None:
            found = self._pieces[id(branch)] = branch.piece()
        return found


def cut(tree: Tree, room: Room, reach: float = math.inf, roots: Collection[str] = ()) -> tuple[Piece, ...]:
    """Cut a tree once: see `Cutter`."""
    return Cutter(tree, room).cut(reach, roots)


class _Split:
    """Which node stands under which question, and which starts a piece."""

    def __init__(self, cutter: Cutter, reach: float, apart: frozenset[str]) -> None:
        self.cutter, self.reach, self.apart = cutter, reach, apart
        self.roots: list[str] = []
        self.held: dict[str, Group] = {}  # a node and the answers with a line to it
        self._met: set[str] = set()

    def run(self) -> None:
        """From the start; then from whatever no answer leads to."""
        tree = self.cutter.tree
        for name in (tree.start, *self.cutter.names):
            if name not in self._met and (name in tree.nodes or name != tree.start):
                self._met.add(name)
                self.roots.append(name)
                self._follow()

    def _follow(self) -> None:
        at = len(self.roots) - 1
        while at < len(self.roots):
            self._fill(self.roots[at])
            at += 1

    def _fill(self, root: str) -> None:
        groups, advance = self.cutter.groups, self.cutter.advance
        waiting = deque([(root, 0.0)])
        while waiting:
            name, left = waiting.popleft()
            further = left + advance(name)
            for group in groups.get(name, ()):
                target = group.target
                if target in self._met:
                    continue
                self._met.add(target)
                wide = target in groups and further + advance(target) + CIRCLE > self.reach
                if wide or target in self.apart:
                    self.roots.append(target)
                    continue
                self.held[target] = group
                waiting.append((target, further))


class _Branch:
    """A node with everything that hangs from it. Measured from the node's left edge and the height of its middle."""

    def __init__(self, cutter: Cutter, name: str, parts: "Sequence[_Branch | Group]") -> None:
        self.cutter, self.name = cutter, name
        width, height = cutter.room.boxes[name]
        self.rects: list[Rect] = [(0.0, -height / 2, width, height / 2)]
        self.boxes = {name: Spot(0.0, 0.0)}
        self.words: dict[Link, Spot] = {}
        self.references: dict[Group, Spot] = {}
        if parts:
            self._hang(cutter.groups[name], parts, width + RAIL)

    def _hang(self, groups: Sequence[Group], parts: "Sequence[_Branch | Group]", rail: float) -> None:
        middles: list[float] = []
        stacked: list[tuple[list[Rect], float]] = []
        taken: list[Rect] = []
        for group, part in zip(groups, parts, strict=True):
            rects = self._group_rects(group, part, rail)
            drop = _drop(taken, rects)
            taken += [_moved(rect, 0.0, drop) for rect in rects]
            middles.append(drop)
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
    drops = [
        upper_bottom + GAP - top
        for upper_left, _, upper_right, upper_bottom in above
        for left, top, right, _ in rects
        if upper_left < right + GAP and left < upper_right + GAP
    ]
    return max(drops, default=0.0)


def _moved(rect: Rect, right: float, down: float) -> Rect:
    return rect[0] + right, rect[1] + down, rect[2] + right, rect[3] + down


def _shifted(spot: Spot, right: float, down: float) -> Spot:
    return Spot(spot.left + right, spot.middle + down)
