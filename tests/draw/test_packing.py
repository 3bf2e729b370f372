"""Packing: as the rule says, cell by cell; given up only where it is sure to be too large; pieces made once."""

import random

import pytest

from diagtree.draw.packing import (
    CALM,
    CELL,
    CLOSE,
    LEVEL,
    Outline,
    Packed,
    Rule,
    cells_of,
    outline,
    pack,
    pack_within,
)
from diagtree.draw.pieces import Cutter, Piece
from diagtree.draw.plan import _SHARES, _Field, _fits
from diagtree.draw.sizing import measure
from diagtree.draw.subject import variants
from diagtree.model.library import Library
from diagtree.model.tree import Tree


def _pieces(seed: int) -> tuple[Outline, ...]:
    """Pieces of some steps side by side: each a rectangle, all of them touching."""
    made = random.Random(seed)
    found = []
    for number in range(made.randint(1, 14)):
        rects, left = [], 0.0
        for _ in range(made.randint(1, 6)):
            right, top = left + made.uniform(8, 90), made.choice([0.0, 6.0, made.uniform(0, 60)])
            rects.append((left, top, right, top + made.choice([30.0, made.uniform(10, 120)])))
            left = right
        high = min(rect[1] for rect in rects)
        rects = [(x, y - high, right, below - high) for x, y, right, below in rects]
        piece = Piece(f"n{number}", left, max(rect[3] for rect in rects), {}, {}, {}, tuple(rects))
        found.append(outline(piece))
    return tuple(found)


def _cell_by_cell(outlines: tuple[Outline, ...], cells: int, rule: Rule) -> list[tuple[float, float]]:
    """The rule as it is written, over every cell of the ground: where each piece comes to lie."""
    ground = [0.0] * cells
    corners: dict[int, tuple[float, float]] = {}
    while len(corners) < len(outlines):
        low = min(ground)
        left = right = ground.index(low)
        while right < cells and ground[right] < low + LEVEL:
            right += 1
        while left and ground[left - 1] < low + LEVEL:
            left -= 1
        sides = [ground[left - 1] if left else float("inf"), ground[right] if right < cells else float("inf")]
        waiting = [at for at in range(len(outlines)) if at not in corners]
        able = [at for at in waiting if len(outlines[at].tops) <= right - left] if corners else waiting[:1]
        if not able:
            height = min(sides) if min(sides) < float("inf") else max(ground) + CELL
            ground[left:right] = [height] * (right - left)
            continue
        best = max(rule.measure(outlines[at]) for at in able)
        found = next(at for at in able if rule.measure(outlines[at]) >= rule.nearly * best)
        one = outlines[found]
        at = left if sides[0] >= sides[1] else right - len(one.tops)
        depth = max(0.0, *(ground[at + cell] - top for cell, top in enumerate(one.tops)))
        ends = [*one.begins[1:], len(one.tops)]
        for begin, end, bottom in zip(one.begins, ends, one.bottoms, strict=True):
            ground[at + begin : at + end] = [depth + bottom] * (end - begin)
        corners[found] = at * CELL, depth
    return [corners[at] for at in range(len(outlines))]


@pytest.mark.parametrize("seed", range(40))
def test_pieces_lie_where_the_rule_puts_them_cell_by_cell(seed: int) -> None:
    outlines = _pieces(seed)
    for width in (150.0, 320.0, 700.0):
        for rule in (*CALM, *CLOSE):
            packed = pack(outlines, width, rule)
            assert list(packed.corners) == _cell_by_cell(outlines, cells_of(outlines, width), rule)


@pytest.mark.parametrize("seed", range(40))
def test_a_packing_is_given_up_only_where_it_is_too_large(seed: int) -> None:
    """With its own size for a bound it is found; what is given up was wider or higher than the bound."""
    outlines = _pieces(seed)
    cells = cells_of(outlines, 400.0)
    for rule in (*CALM, *CLOSE):
        whole = pack_within(outlines, cells, rule)
        assert isinstance(whole, Packed)
        assert pack_within(outlines, cells, rule, whole.width, whole.height) == whole
        for share in (0.3, 0.7, 0.95, 0.999):
            assert pack_within(outlines, cells, rule, whole.width, whole.height * share) is None
            assert pack_within(outlines, cells, rule, whole.width * share, whole.height) is None


def test_pieces_that_hold_the_same_are_made_once(library: Library, rattle: Tree) -> None:
    """However a tree is cut: and each is the one that a cut alone would give."""
    room = measure(variants(library, rattle)[0])
    cutter = Cutter(rattle, room)
    narrow, again = cutter.cut(400.0), cutter.cut(400.0)
    assert all(one is other for one, other in zip(narrow, again, strict=True))
    wide = cutter.cut(700.0)
    alone = Cutter(rattle, room).cut(700.0)
    assert [(one.root, one.boxes, one.words, one.rects) for one in wide] == [
        (one.root, one.boxes, one.words, one.rects) for one in alone
    ]


@pytest.mark.parametrize("seed", range(25))
def test_the_last_fit_is_the_first_of_the_largest_of_all(seed: int) -> None:
    """Nothing is missed by giving packings up early; where none goes in, none is found."""
    outlines = _pieces(seed)
    room = sum(one.area * CELL for one in outlines) ** 0.5
    for slack in (0.7, 1.05, 1.3, 2.0):
        fields = (_Field(room * slack, room * slack * 1.2), _Field(room * slack * 1.2, room * slack))
        every = [
            (min(field.width / packed.width, field.height / packed.height), packed)
            for field in fields
            for share in _SHARES
            for rule in CALM
            if (packed := pack(outlines, field.width * share, rule))
        ]
        found = [(fit.size, fit.packed) for fit in _fits(outlines, fields, CALM)]
        best = max(every, key=lambda pair: pair[0])
        assert found[-1:] == ([best] if best[0] >= 1.0 else [])
        assert sorted(found, key=lambda pair: pair[0]) == found
