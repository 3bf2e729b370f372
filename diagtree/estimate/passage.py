"""Stepping through one tree, or through several together that are given the same answers.

A state is where each walk stands and the answers known that can still matter to any of them, so that paths that join
again are followed once.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush
from typing import TypeAlias

from diagtree.estimate.meanings import CANNOT_TELL, Replies, Reply
from diagtree.model.library import Library
from diagtree.model.tree import Node, Onward, Outcome, Question, Tree, targets
from diagtree.source.collector import paused

MOST_STATES = 200_000  # of one search: some ten seconds

Spot: TypeAlias = tuple[str, str]  # tree, node
Facts: TypeAlias = Mapping[str, Reply]


@dataclass(frozen=True, slots=True, order=True)
class Ended:
    """A walk came to an outcome with these faults, sorted."""

    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True, order=True)
class Stuck:
    """A walk stands at a check that cannot be told, and the tree has no `else` there."""

    check: str


Position: TypeAlias = Spot | Ended | Stuck


@dataclass(frozen=True, slots=True)
class Ground:
    """A tree with all that it goes on in; for each node, the checks that may be asked from there on."""

    library: Library
    start: Spot
    nodes: Mapping[Spot, Node]
    matters: Mapping[Spot, frozenset[str]]
    order: tuple[Spot, ...]  # ends before what leads to them


def ground(library: Library, tree: Tree) -> Ground:
    """The ground of a tree of a library without errors: no ring, no name without a node."""
    from graphlib import TopologicalSorter

    nodes: dict[Spot, Node] = {}
    waiting = [tree.id]
    while waiting:
        name = waiting.pop()
        if (name, library.trees[name].start) not in nodes:
            nodes |= {(name, node.id): node for node in library.trees[name].nodes.values()}
            waiting.extend(node.tree for node in library.trees[name].onwards)
    order = tuple(TopologicalSorter({spot: ends(library, spot, node) for spot, node in nodes.items()}).static_order())
    matters: dict[Spot, frozenset[str]] = {}
    for spot in order:
        node = nodes[spot]
        here = frozenset((node.check,)) if isinstance(node, Question) else frozenset()
        matters[spot] = here.union(*(matters[end] for end in ends(library, spot, node)))
    return Ground(library, (tree.id, tree.start), nodes, matters, order)


def ends(library: Library, spot: Spot, node: Node) -> tuple[Spot, ...]:
    """Where a node leads."""
    if isinstance(node, Onward):
        return ((node.tree, library.trees[node.tree].start),)
    return tuple((spot[0], name) for name in targets(node))


class Shapes:
    """Numbers for what follows from a node: equal numbers, equal in effect, whatever the nodes are called."""

    __slots__ = ("_numbers",)

    def __init__(self) -> None:
        self._numbers: dict[object, int] = {}

    def of(self, on: Ground, *, through: bool = True) -> dict[Spot, int]:
        """The number of each node.

        `through`: as walks go. A `continue` is what the other tree starts with, and an outcome its faults. If not: as
        a tree is written. A `continue` is the other tree's id, and an outcome its faults and cautions.
        """
        found: dict[Spot, int] = {}
        for spot in on.order:
            node = on.nodes[spot]
            if through and isinstance(node, Onward):
                found[spot] = found[ends(on.library, spot, node)[0]]
            else:
                key = _shape(spot, node, found, through=through)
                found[spot] = self._numbers.setdefault(key, len(self._numbers))
        return found


def _shape(spot: Spot, node: Node, found: Mapping[Spot, int], *, through: bool) -> object:
    match node:
        case Outcome():
            return "end", frozenset(node.faults), frozenset() if through else frozenset(node.cautions)
        case Onward():
            return "go", node.tree
        case Question():
            then = frozenset((answer, found[spot[0], end]) for answer, end in node.then.items())
            return "ask", node.check, then, found[spot[0], node.otherwise] if node.otherwise else None


@dataclass(frozen=True, slots=True)
class Side:
    """A ground in one build: the checks that apply to it, and the number of each node's shape."""

    on: Ground
    applying: frozenset[str]
    shapes: Mapping[Spot, int] = field(default_factory=dict)

    def settle(self, position: Position, facts: Facts, place: int) -> Position | None:
        """Where a walk stands after what is known; None where it cannot take what is known.

        Args:
            position: where it stood.
            facts: what is known.
            place: which of each reply's views is this library's.
        """
        while isinstance(position, tuple):
            node = self.on.nodes[position]
            match node:
                case Outcome():
                    return Ended(tuple(sorted(set(node.faults))))
                case Onward():
                    position = ends(self.on.library, position, node)[0]
                case Question(check=check) if check in self.applying and check not in facts:
                    return position
                case Question():
                    said = facts[node.check].views[place] if node.check in self.applying else CANNOT_TELL
                    if said is None:
                        return None
                    end = node.otherwise if said == CANNOT_TELL else node.then[said]
                    position = (position[0], end) if end else Stuck(node.check)
        return position

    def asks(self, position: Position) -> str | None:
        """The check that is asked there; None at an end."""
        node = self.on.nodes[position] if isinstance(position, tuple) else None
        return node.check if isinstance(node, Question) else None

    def left(self, position: Position) -> frozenset[str]:
        """The checks that may be asked from there on."""
        return self.on.matters[position] if isinstance(position, tuple) else frozenset()


@dataclass(frozen=True, slots=True)
class Search:
    """What a search met: each combination of ends with a shortest list of answers, and whether these are all."""

    met: Mapping[tuple[Position, ...], Facts]
    states: int
    whole: bool


_Known: TypeAlias = tuple[tuple[str, tuple[str | None, ...]], ...]  # (check, views), sorted
_Item: TypeAlias = tuple[int, int, int, tuple[Position, ...], tuple[tuple[str, Reply], ...]]


@paused()
def search(
    sides: Sequence[Side],
    meanings: Mapping[str, Replies],
    *,
    most: int = MOST_STATES,
    same: frozenset[str] | None = None,
) -> Search:
    """Every combination of ends that the same answers can lead to.

    Args:
        sides: the walks, one or more.
        meanings: check -> what can be said of it, with a view for each side.
        most: states after which the search is cut.
        same: checks that mean and apply alike on all sides. Where given, states from which all sides have the same
            shape, of such checks only, are left out: they end alike whatever is answered.

    Shortest counts answers, then those that are cannot tell.
    """
    first = _settled(sides, tuple(side.on.start for side in sides), {})
    waiting: list[_Item] = [(0, 0, 0, first, ())] if first else []
    seen: set[tuple[tuple[Position, ...], _Known]] = set()
    met: dict[tuple[Position, ...], Facts] = {}
    made = 0
    while waiting:
        many, doubts, _, positions, facts = heappop(waiting)
        key = (positions, _mattering(sides, positions, facts))
        if key in seen or (same is not None and _alike(sides, positions, same)):
            continue
        if len(seen) == most:
            return Search(met, len(seen), whole=False)
        seen.add(key)
        check = _next_check(sides, positions)
        if check is None:
            met.setdefault(positions, dict(facts))
            continue
        known = dict(facts)
        for reply in meanings[check].found:
            known[check] = reply
            after = _settled(sides, positions, known)
            if after:
                made += 1
                item = (many + 1, doubts + (reply.text == CANNOT_TELL), made, after, (*facts, (check, reply)))
                heappush(waiting, item)
    return Search(met, len(seen), all(found.whole for found in meanings.values()))


def _next_check(sides: Sequence[Side], positions: tuple[Position, ...]) -> str | None:
    """The check that the walk furthest behind asks; None where all have ended.

    One that runs ahead would leave answers behind it that the others still have to come to: states multiply.
    """
    asked = [(len(side.left(at)), name) for side, at in zip(sides, positions, strict=True) if (name := side.asks(at))]
    return max(asked, key=lambda found: found[0])[1] if asked else None


def replay(sides: Sequence[Side], facts: Facts) -> tuple[Position, ...] | None:
    """Where these answers lead each side; None where one cannot take them."""
    return _settled(sides, tuple(side.on.start for side in sides), facts)


def _settled(sides: Sequence[Side], positions: tuple[Position, ...], facts: Facts) -> tuple[Position, ...] | None:
    found: list[Position] = []
    for place, (side, position) in enumerate(zip(sides, positions, strict=True)):
        asked = side.asks(position)
        waits = asked is not None and asked in side.applying and asked not in facts
        at = position if waits else side.settle(position, facts, place)
        if at is None:
            return None
        found.append(at)
    return tuple(found)


def _mattering(sides: Sequence[Side], positions: tuple[Position, ...], facts: tuple[tuple[str, Reply], ...]) -> _Known:
    left = frozenset[str]().union(*(side.left(at) for side, at in zip(sides, positions, strict=True)))
    return tuple(sorted((check, reply.views) for check, reply in facts if check in left))


def _alike(sides: Sequence[Side], positions: tuple[Position, ...], same: frozenset[str]) -> bool:
    return len(set(_numbers(sides, positions))) == 1 and all(
        side.left(at) <= same for side, at in zip(sides, positions, strict=True)
    )


def _numbers(sides: Sequence[Side], positions: tuple[Position, ...]) -> Iterator[object]:
    for side, at in zip(sides, positions, strict=True):
        yield side.shapes.get(at) if isinstance(at, tuple) else at
