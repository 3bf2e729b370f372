"""What a drawing is of."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagtree.draw.cautions import Numbered, number_cautions
from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree


@dataclass(frozen=True, slots=True)
class Subject:
    """A tree of a library, for the engines that it is drawn for, with its numbered cautions by id."""

    library: Library
    tree: Tree
    engines: tuple[Engine, ...]
    marks: Mapping[str, Numbered]


def subject(library: Library, tree: Tree, engines: tuple[Engine, ...]) -> Subject:
    """A tree with its cautions numbered."""
    return Subject(library, tree, engines, number_cautions(library, tree, engines))
