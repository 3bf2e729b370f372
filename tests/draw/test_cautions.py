"""Which cautions stand on a drawing."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from diagtree.draw.cautions import number_cautions
from diagtree.model.engine import ONLY_ENGINE, Engine
from diagtree.model.fault import Caution
from diagtree.model.library import Library
from diagtree.model.quantity import Condition
from diagtree.model.tree import Tree

Small = Callable[..., tuple[Library, Tree]]


@pytest.mark.parametrize("engines", [(), (ONLY_ENGINE,)])
def test_without_an_engine_every_plain_caution_stands(small: Small, engines: tuple[Engine, ...]) -> None:
    library, tree = small()
    assert [mark.name for mark in number_cautions(library, tree, engines).values()] == ["Stop 1"]


def test_a_caution_for_certain_builds_stands_where_nobody_knows_the_build(small: Small) -> None:
    library, tree = small()
    caution = Caution("w", "Careful.", "stop", Condition((("chain", ("roller", "silent")),)))
    (mark,) = number_cautions(replace(library, cautions={"w": caution}), tree, ()).values()
    assert mark.only == "Only with chain roller or silent."


def test_a_caution_has_the_librarys_number_on_every_tree(library: Library, rattle: Tree) -> None:
    engines = tuple(library.engines.values())
    whole = number_cautions(library, rattle, engines)
    alone = number_cautions(library, replace(rattle, nodes={}, cautions=("waste", "phaser-spring")), engines)
    assert [mark.name for mark in alone.values()] == ["Stop 2", "Note 4"]
    assert all(mark.name == whole[name].name for name, mark in alone.items())


def test_the_cautions_of_a_check_an_outcome_and_a_fault_are_all_there(library: Library, rattle: Tree) -> None:
    marks = number_cautions(library, rattle, tuple(library.engines.values()))
    assert [mark.name for mark in marks.values()] == ["Stop 1", "Stop 2", "Warning 3", "Note 4"]
    assert list(marks) == ["hand-only", "phaser-spring", "hot-oil", "waste"]
