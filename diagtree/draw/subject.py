"""What a drawing is of."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagtree.draw.bills import bill_lines, said, spans
from diagtree.draw.cautions import Numbered, named, numbered
from diagtree.graph.serving import served
from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree


@dataclass(frozen=True, slots=True)
class Subject:
    """A tree of a library, for the engines that it is drawn for."""

    library: Library
    tree: Tree
    engines: tuple[Engine, ...]
    named: Mapping[str, tuple[str, ...]]  # node -> the cautions of what is done there
    marks: Mapping[str, Numbered]  # caution -> its number
    bills: Mapping[str, tuple[str, ...]]  # outcome's node -> lines on its work: hours and parts


def subject(library: Library, tree: Tree, engines: tuple[Engine, ...]) -> Subject:
    """A tree with its cautions numbered and the work of its outcomes added up."""
    return _subject(library, tree, engines, bill_lines(library, tree, engines))


def variants(library: Library, tree: Tree) -> tuple[Subject, ...]:
    """The tree for all engines that it serves, and for each of them alone."""
    engines = served(library, tree)
    found = {engine.id: spans(library, tree, engine) for engine in engines}
    apart = [(engine,) for engine in engines] if len(engines) > 1 else []
    return tuple(_subject(library, tree, each, said(library, found, each)) for each in (engines, *apart))


def _subject(
    library: Library, tree: Tree, engines: tuple[Engine, ...], bills: Mapping[str, tuple[str, ...]]
) -> Subject:
    names = named(library, tree, engines)
    return Subject(library, tree, engines, names, numbered(library, tree, engines, names), bills)
