"""Where everything stands: a tree cut into pieces and packed into a field, once for every paper.

The same tree of the same library is always laid out alike, whichever engine or build is drawn and on whichever paper,
so that a box has one address.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagtree.draw.frame import frame_height
from diagtree.draw.grid import Grid, make_grid
from diagtree.draw.packing import CALM, CLOSE, Outline, Packed, Rule, cells_of, outline, pack, pack_within
from diagtree.draw.paper import PAPERS
from diagtree.draw.picture import POINTS_PER_MM
from diagtree.draw.pieces import Cutter, Group, Piece
from diagtree.draw.setting import SIZES
from diagtree.draw.shape import Extent
from diagtree.draw.sizing import TRIED, Room, measure
from diagtree.draw.subject import Subject, variants
from diagtree.graph.trees import Link
from diagtree.model.library import Library
from diagtree.model.tree import Tree

# How wide a piece may grow, from few cuts to many. The first that fits the largest paper in type for a wall is taken.
_REACHES = (1900.0, 1250.0, 900.0, 740.0, 640.0, 560.0, 500.0, 440.0, 390.0, 340.0)
_ROOMY = 640.0  # for a tree that fits no paper
_MANY = 150  # nodes from which no paper is tried
_SHARES = (1.0, 0.985, 0.97, 0.95)  # of a field's width that are tried
_LARGEST = PAPERS["A0"]
_WANTED = _LARGEST.least["question"] / SIZES.question
EDGE = 11.0  # around the field, for the letters and numbers of the grid


@dataclass(frozen=True, slots=True)
class Plan:
    """A tree laid out. In points, from the field's top left corner."""

    subjects: tuple[Subject, ...]  # for all engines that the tree serves, then for each of them alone
    room: Room
    width: float
    height: float
    boxes: Mapping[str, Extent]
    words: Mapping[Link, tuple[float, float]]  # left edge and middle of an answer's words
    references: Mapping[Group, tuple[float, float]]  # left edge and middle of a connector
    roots: tuple[str, ...]  # the nodes that start a piece
    grid: Grid


def lay_out(library: Library, tree: Tree) -> Plan:
    """Lay a tree out. `library` is the one that was read, not one narrowed to an engine."""
    drawn, billed = variants(library, tree)
    room, pieces, packed = _best(drawn, billed)
    boxes = {
        name: _extent(room.boxes[name], left + spot.left, top + spot.middle)
        for piece, (left, top) in zip(pieces, packed.corners, strict=True)
        for name, spot in piece.boxes.items()
    }
    placed = tuple(zip(pieces, packed.corners, strict=True))
    return Plan(
        drawn,
        room,
        packed.width,
        packed.height,
        boxes,
        {link: (x + at.left, y + at.middle) for piece, (x, y) in placed for link, at in piece.words.items()},
        {group: (x + at.left, y + at.middle) for piece, (x, y) in placed for group, at in piece.references.items()},
        tuple(piece.root for piece in pieces),
        make_grid(packed.width, packed.height, {name: extent.centre for name, extent in boxes.items()}),
    )


def _extent(size: tuple[float, float], left: float, middle: float) -> Extent:
    return Extent(left, middle - size[1] / 2, *size)


@dataclass(frozen=True, slots=True)
class _Field:
    """What a sheet of the largest paper leaves for the tree beside its panels, at the scale that a wall asks for."""

    width: float
    height: float


@dataclass(frozen=True, slots=True)
class _Fit:
    """Pieces packed for a field. They go in where `size` is at least 1."""

    size: float  # how much larger they could be drawn
    field: _Field
    rule: Rule
    packed: Packed


def _best(drawn: tuple[Subject, ...], billed: tuple[Subject, ...]) -> tuple[Room, tuple[Piece, ...], Packed]:
    """The fewest cuts that fit the largest paper in type for a wall; where none do, pieces of a handy width."""
    tree = drawn[0].tree
    if len(tree.nodes) <= _MANY:
        fields = _fields(drawn[0])
        for limits in TRIED:
            room = measure(drawn, limits, billed)
            seen = _Seen(Cutter(tree, room))
            for rules in (CALM, CLOSE):
                found = _widest(seen, fields, rules)
                if found:
                    return room, *_mended(seen, *found)
    room = measure(drawn, billed=billed)
    pieces = Cutter(tree, room).cut(_ROOMY)
    outlines = tuple(map(outline, pieces))
    square = sum(one.width * one.depth for one in outlines) ** 0.5
    return room, pieces, pack(outlines, square)


def _fields(subject: Subject) -> tuple[_Field, ...]:
    """The sheet upright and lying."""
    fields = []
    for sheet in _LARGEST.sheets:
        across, down = ((side - 2 * _LARGEST.margin * POINTS_PER_MM) / _WANTED for side in sheet)
        fields.append(_Field(across - 2 * EDGE, down - 2 * EDGE - frame_height(subject, across)))
    return tuple(fields)


class _Seen:
    """A tree cut in many ways, with the outlines of its pieces."""

    def __init__(self, cutter: Cutter) -> None:
        self.cutter = cutter
        self._outlines: dict[int, Outline] = {}

    def cut(self, reach: float = math.inf, roots: Sequence[str] = ()) -> tuple[tuple[Piece, ...], tuple[Outline, ...]]:
        """Pieces, and their outlines."""
        pieces = self.cutter.cut(reach, roots)
        known = self._outlines
        for piece in pieces:
            if id(piece) not in known:  # the cutter keeps them
                known[id(piece)] = outline(piece)
        return pieces, tuple(known[id(piece)] for piece in pieces)


def _widest(seen: _Seen, fields: tuple[_Field, ...], rules: Sequence[Rule]) -> tuple[tuple[Piece, ...], _Fit] | None:
    """The widest reach with which the tree fits, by halving: the narrower the pieces, the closer they lie."""
    found = None
    low, high = 0, len(_REACHES)
    while low < high:
        at = (low + high) // 2
        pieces, outlines = seen.cut(_REACHES[at])
        fits = _fits(outlines, fields, rules)
        first = next(fits, None)
        if first:
            found, high = (pieces, first, fits), at
        else:
            low = at + 1
    return (found[0], _last(found[1], found[2])) if found else None


def _mended(seen: _Seen, pieces: tuple[Piece, ...], fit: _Fit) -> tuple[tuple[Piece, ...], Packed]:
    """Take cuts back, one by one, as long as the tree still fits: a line says more than an address."""
    better: Iterator[_Fit] = iter(())
    ends = Counter(group.target for piece in pieces for group in piece.references)
    # First those that one answer leads to, and of them the small ones.
    waiting = sorted((piece for piece in pieces[1:]), key=lambda piece: (ends[piece.root], piece.width * piece.height))
    roots = [piece.root for piece in pieces]
    for candidate in waiting:
        fewer = [root for root in roots if root != candidate.root]
        made, outlines = seen.cut(roots=fewer)
        fits = _fits(outlines, (fit.field,), (fit.rule,))
        first = next(fits, None)
        if first:
            roots, pieces, fit, better = fewer, made, first, fits
    return pieces, _last(fit, better).packed


def _fits(outlines: tuple[Outline, ...], fields: Sequence[_Field], rules: Sequence[Rule]) -> Iterator[_Fit]:
    """Ways in which pieces go into some fields, each better than the one before; none where they do not.

    A packing is given up as soon as it is sure not to be better: most of them soon are.
    """
    size, least = 1.0, False
    for field in fields:
        for cells in dict.fromkeys(cells_of(outlines, field.width * share) for share in _SHARES):
            for rule in rules:
                packed = pack_within(outlines, cells, rule, field.width / size, field.height / size)
                reached = min(field.width / packed.width, field.height / packed.height) if packed else 0.0
                if packed and (reached > size or (reached == size and not least)):
                    yield _Fit(reached, field, rule, packed)
                    size, least = reached, True


def _last(first: _Fit, better: Iterator[_Fit]) -> _Fit:
    """The best of some fits."""
    for fit in better:
        first = fit
    return first
