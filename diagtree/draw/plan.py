"""Where everything stands: a tree cut into pieces and packed into a field, once for every paper.

The same tree of the same library is always laid out alike, whichever engine or build is drawn and on whichever paper,
so that a box has one address.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagtree.draw.frame import frame_height
from diagtree.draw.grid import Grid, make_grid
from diagtree.draw.packing import CALM, CLOSE, Outline, Packed, Rule, outline, pack
from diagtree.draw.paper import MARGIN, PAPERS
from diagtree.draw.picture import POINTS_PER_MM
from diagtree.draw.pieces import Group, Known, Piece, cut
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

    subject: Subject  # for all engines that the tree serves
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
    drawn = variants(library, tree)
    room, pieces, packed = _best(drawn)
    boxes = {
        name: _extent(room.boxes[name], left + spot.left, top + spot.middle)
        for piece, (left, top) in zip(pieces, packed.corners, strict=True)
        for name, spot in piece.boxes.items()
    }
    placed = tuple(zip(pieces, packed.corners, strict=True))
    return Plan(
        drawn[0],
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
    width: float  # that was packed for
    rule: Rule
    packed: Packed


def _best(drawn: tuple[Subject, ...]) -> tuple[Room, tuple[Piece, ...], Packed]:
    """The fewest cuts that fit the largest paper in type for a wall; where none do, pieces of a handy width."""
    tree = drawn[0].tree
    if len(tree.nodes) <= _MANY:
        fields = _fields(drawn[0])
        for limits in TRIED:
            room = measure(drawn, limits)
            for rules in (CALM, CLOSE):
                found = _widest(tree, room, fields, rules)
                if found:
                    return room, *_mended(tree, room, *found)
    room = measure(drawn)
    pieces = cut(tree, room, _ROOMY)
    outlines = tuple(map(outline, pieces))
    square = sum(one.width * one.depth for one in outlines) ** 0.5
    return room, pieces, pack(outlines, square)


def _fields(subject: Subject) -> tuple[_Field, ...]:
    """The sheet upright and lying."""
    fields = []
    for sheet in _LARGEST.sheets:
        across, down = ((side - 2 * MARGIN * POINTS_PER_MM) / _WANTED for side in sheet)
        fields.append(_Field(across - 2 * EDGE, down - 2 * EDGE - frame_height(subject, across)))
    return tuple(fields)


def _widest(
    tree: Tree, room: Room, fields: tuple[_Field, ...], rules: Sequence[Rule]
) -> tuple[tuple[Piece, ...], _Fit] | None:
    """The widest reach with which the tree fits, by halving: the narrower the pieces, the closer they lie."""
    found = None
    low, high = 0, len(_REACHES)
    while low < high:
        at = (low + high) // 2
        pieces = cut(tree, room, _REACHES[at])
        outlines = tuple(map(outline, pieces))
        fit = _largest(
            _fit(outlines, field, field.width * share, rule) for field in fields for share in _SHARES for rule in rules
        )
        if fit.size >= 1.0:
            found, high = (pieces, fit), at
        else:
            low = at + 1
    return found


def _mended(tree: Tree, room: Room, pieces: tuple[Piece, ...], fit: _Fit) -> tuple[tuple[Piece, ...], Packed]:
    """Take cuts back, one by one, as long as the tree still fits: a line says more than an address."""
    known: Known = {}
    outlines: dict[int, Outline] = {}
    ends = Counter(group.target for piece in pieces for group in piece.references)
    # First those that one answer leads to, and of them the small ones.
    waiting = sorted((piece for piece in pieces[1:]), key=lambda piece: (ends[piece.root], piece.width * piece.height))
    roots = [piece.root for piece in pieces]
    for candidate in waiting:
        fewer = [root for root in roots if root != candidate.root]
        made = cut(tree, room, roots=fewer, known=known)
        outlines |= {id(piece): outline(piece) for piece in made if id(piece) not in outlines}
        seen = tuple(outlines[id(piece)] for piece in made)
        tried = _largest(_fit(seen, fit.field, fit.field.width * share, fit.rule) for share in _SHARES)
        if tried.size >= 1.0:
            roots, pieces, fit = fewer, made, tried
    return pieces, fit.packed


def _fit(outlines: tuple[Outline, ...], field: _Field, width: float, rule: Rule) -> _Fit:
    packed = pack(outlines, width, rule)
    return _Fit(min(field.width / packed.width, field.height / packed.height), field, width, rule, packed)


def _largest(fits: Iterable[_Fit]) -> _Fit:
    return max(fits, key=lambda fit: fit.size)
