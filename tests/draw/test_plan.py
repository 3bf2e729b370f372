"""Places: the same for every paper, engine and run, and an address for each box."""

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from diagtree.draw.addresses import addresses
from diagtree.draw.compose import compose
from diagtree.draw.grid import make_grid
from diagtree.draw.packing import APART, outline, pack
from diagtree.draw.picture import Box, Picture
from diagtree.draw.pieces import cut
from diagtree.draw.plan import lay_out
from diagtree.draw.sizing import measure
from diagtree.draw.subject import variants
from diagtree.draw.wires import route
from diagtree.graph.serving import served
from diagtree.model.library import Library
from diagtree.model.tree import Outcome, Question, Tree


def _said(box: Box) -> str:
    """The address that a box shows."""
    parts = box.words[0].text.split(" \N{MIDDLE DOT} ")
    return next(part for part in parts if re.fullmatch(r"[A-Z]{1,2}\d+", part))


def test_every_box_shows_its_own_address_on_every_paper_and_for_every_engine(
    library: Library, rattle: Tree, drawn: Callable[[str], Picture]
) -> None:
    known = addresses(library, rattle)
    assert set(known) == set(rattle.nodes)
    assert len(set(known.values())) == len(known)
    (engine,) = served(library, rattle)
    assert addresses(library, rattle, engine) == known
    alone = compose(library, rattle, (replace(engine, builds={"late": engine.builds["late"]}),))
    assert isinstance(alone, Picture)
    for picture in (drawn(""), drawn("A2"), drawn("A0"), alone):
        assert {box.id: _said(box) for box in picture.nodes} == known


def test_an_address_is_read_off_the_margin(picture: Picture) -> None:
    """The letter above and the number beside a box are the nearest to its middle."""
    marks = [box for box in picture.panels if box.kind == "grid"]
    letters = {box.words[0].text: box.extent.centre[0] for box in marks if box.id.startswith("grid-top")}
    numbers = {box.words[0].text: box.extent.centre[1] for box in marks if box.id.startswith("grid-left")}
    for box in picture.nodes:
        x, y = box.extent.centre
        letter = min(letters, key=lambda name: abs(letters[name] - x))
        number = min(numbers, key=lambda name: abs(numbers[name] - y))
        assert _said(box) == letter + number


def test_a_grid_grows_finer_until_no_two_boxes_share_an_address() -> None:
    middles = {"a": (20.0, 100.0), "b": (20.0, 112.0), "c": (300.0, 100.0)}
    grid = make_grid(400.0, 600.0, middles)
    assert len(set(grid.addresses.values())) == 3
    coarse = make_grid(400.0, 600.0, {"a": (20.0, 100.0)})
    assert grid.rows > coarse.rows or grid.columns > coarse.columns
    assert "I" not in "".join(name for name, _ in make_grid(9000.0, 600.0, middles).letters())


def _tree(questions: int) -> Tree:
    nodes: dict[str, Question | Outcome] = {
        f"n{at}": Question(f"n{at}", f"check {at}", {"yes": f"n{2 * at + 1}", "no": f"n{2 * at + 2}"})
        for at in range(questions)
    }
    nodes |= {f"n{at}": Outcome(f"n{at}", (f"fault {at}",)) for at in range(questions, 2 * questions + 1)}
    return Tree("t", "T", {}, "n0", dict(nodes))


def test_a_narrow_reach_cuts_and_a_wide_one_does_not() -> None:
    tree = _tree(15)
    room = measure(variants(Library(trees={"t": tree}), tree)[0])
    (whole,) = cut(tree, room)
    assert whole.references == {}
    pieces = cut(tree, room, 300.0)
    assert len(pieces) > 5
    assert max(piece.width for piece in pieces) < whole.width
    assert sorted(name for piece in pieces for name in piece.boxes) == sorted(tree.nodes)
    assert sum(len(piece.references) for piece in pieces) == len(pieces) - 1


@pytest.mark.parametrize("width", [200.0, 700.0, 1500.0])
def test_packed_pieces_keep_apart(width: float) -> None:
    tree = _tree(15)
    room = measure(variants(Library(trees={"t": tree}), tree)[0])
    pieces = cut(tree, room, 400.0)
    packed = pack([outline(piece) for piece in pieces], width)
    rects = [
        (left + rect[0], top + rect[1], left + rect[2], top + rect[3], number)
        for number, (piece, (left, top)) in enumerate(zip(pieces, packed.corners, strict=True))
        for rect in piece.rects
    ]
    for a in rects:
        assert a[2] <= packed.width + 1e-6
        assert a[3] <= packed.height + 1e-6
        for b in rects:
            near = (
                a[0] < b[2] + APART / 2
                and b[0] < a[2] + APART / 2
                and a[1] < b[3] + APART / 2
                and b[1] < a[3] + APART / 2
            )
            assert a[4] == b[4] or not near


def test_two_layouts_are_equal(library: Library, rattle: Tree) -> None:
    one, other = lay_out(library, rattle), lay_out(library, rattle)
    assert (one.boxes, one.words, one.references) == (other.boxes, other.words, other.references)


def test_a_route_keeps_its_ends_and_is_level_and_upright_between_corners() -> None:
    curve = route((0.0, 0.0), (10.0, 0.0), (10.0, 30.0), (40.0, 30.0))
    assert (curve[0], curve[-1]) == ((0.0, 0.0), (40.0, 30.0))
    assert len(curve) % 3 == 1
    assert all(0.0 <= x <= 40.0 and 0.0 <= y <= 30.0 for x, y in curve)
