"""A tree of 25 nodes with real sentences, read from YAML beside this file, and its pictures."""

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from diagtree.draw.compose import compose
from diagtree.draw.picture import Picture
from diagtree.graph.serving import served
from diagtree.model.check import Answer, Check
from diagtree.model.fault import Caution, Fault
from diagtree.model.library import Library
from diagtree.model.quantity import Amount, Hours
from diagtree.model.tree import Node, Outcome, Question, Tree
from diagtree.source.reader import read

FILE = Path(__file__).parent / "rattle.yaml"


@cache
def _library() -> Library:
    found = read(str(FILE))
    assert not [problem for problem in found.problems if problem.severity == "error"]
    return found.library


@cache
def _drawn(paper: str) -> Picture:
    library = _library()
    tree = library.trees["rattle"]
    picture = compose(library, tree, served(library, tree), paper)
    assert isinstance(picture, Picture)
    return picture


@pytest.fixture
def yaml_file() -> Path:
    """The library's file."""
    return FILE


@pytest.fixture
def library() -> Library:
    """The library of the rattle tree."""
    return _library()


@pytest.fixture
def rattle() -> Tree:
    """A tree of 25 nodes."""
    return _library().trees["rattle"]


@pytest.fixture
def drawn() -> Callable[[str], Picture]:
    """The rattle tree on a paper; an empty name for its own size."""
    return _drawn


@pytest.fixture
def picture() -> Picture:
    """The rattle tree at its own size."""
    return _drawn("")


@pytest.fixture
def small() -> Callable[..., tuple[Library, Tree]]:
    """A tree of one question and two outcomes that says what it is given."""

    def make(
        ask: str = "Low?", answer: str = "Yes", fault: str = "Oil low", title: str = "T", say: str = "Hot."
    ) -> tuple[Library, Tree]:
        check = Check("c", ask, (Answer("a", answer), Answer("b", "No")), Hours(0.1, 0.1, 0.1))
        faults = {name: Fault(name, words, "", (), ()) for name, words in (("f", fault), ("g", "Nothing"))}
        nodes: dict[str, Node] = {
            "n": Question("n", "c", {"a": "x", "b": "y"}, otherwise="y", note=answer),
            "x": Outcome("x", ("f", "g"), note=ask),
            "y": Outcome("y", ("g",)),
        }
        tree = Tree("t", title, {"f": Amount(1.0), "g": Amount(1.0)}, "n", nodes, cautions=("w",), source=say)
        return Library(
            checks={"c": check}, faults=faults, trees={"t": tree}, cautions={"w": Caution("w", say, "stop")}
        ), tree

    return make
