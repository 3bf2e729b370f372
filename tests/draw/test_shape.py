"""Outlines and what lies inside them."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.draw.shape import Extent, Shape, holds, middle, polygon, room

SHAPES = get_args(Shape)
SIDES = st.floats(1, 500)


@given(st.sampled_from(SHAPES), SIDES, SIDES, st.floats(0.2, 5))
def test_an_outline_has_room_for_its_words_at_any_scale(
    shape: Shape, width: float, height: float, scale: float
) -> None:
    wide, high = room(shape, width, height)
    box = Extent(10.0, 20.0, wide, high)
    x, y = middle(shape, box)
    words = Extent(x - width / 2, y - height / 2, width, height)
    assert holds(shape, box, words)
    assert holds(shape, box.placed(scale, 7.0, 9.0), words.placed(scale, 7.0, 9.0), scale)


@pytest.mark.parametrize("shape", SHAPES)
def test_words_that_reach_over_the_edge_are_not_held(shape: Shape) -> None:
    box = Extent(0.0, 0.0, 200.0, 80.0)
    assert not holds(shape, box, Extent(-1.0, 30.0, 50.0, 10.0))
    assert not holds(shape, box, Extent(80.0, 75.0, 50.0, 10.0))


@pytest.mark.parametrize("shape", ["diamond", "hexagon", "terminator", "circle"])
def test_words_in_a_cut_corner_are_not_held(shape: Shape) -> None:
    assert not holds(shape, Extent(0.0, 0.0, 200.0, 80.0), Extent(0.5, 0.5, 4.0, 4.0))


def test_a_decision_has_points_at_its_sides() -> None:
    for shape in ("diamond", "hexagon"):
        corners = polygon(shape, Extent(0.0, 0.0, 200.0, 80.0))
        assert (0.0, 40.0) in corners
        assert (200.0, 40.0) in corners
