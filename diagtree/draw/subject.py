"""What a drawing is of."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagtree.draw.bills import Spans, said, spans
from diagtree.draw.cautions import Numbered, named, numbered
from diagtree.graph.labour import Labour, labour
from diagtree.graph.serving import builds, served
from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree

_Works = Mapping[str, tuple[Labour, ...]]  # engine -> the work of each of its builds


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
    works = _works(engines)
    return _subject(library, tree, engines, works, _spans(library, tree, works))


def variants(library: Library, tree: Tree) -> tuple[Subject, ...]:
    """The tree for all engines that it serves, and for each of them alone."""
    engines = served(library, tree)
    works = _works(engines)
    found = _spans(library, tree, works)
    apart = [(engine,) for engine in engines] if len(engines) > 1 else []
    return tuple(_subject(library, tree, each, works, found) for each in (engines, *apart))


def _works(engines: tuple[Engine, ...]) -> _Works:
    return {engine.id: tuple(labour(engine, build) for build in builds(engine)) for engine in engines}


def _spans(library: Library, tree: Tree, works: _Works) -> Mapping[str, Spans]:
    return {name: spans(library, tree, made) for name, made in works.items()}


def _subject(
    library: Library, tree: Tree, engines: tuple[Engine, ...], works: _Works, found: Mapping[str, Spans]
) -> Subject:
    names = named(library, tree, [work for engine in engines for work in works[engine.id]])
    bills = said(library, found, engines)
    return Subject(library, tree, engines, names, numbered(library, tree, engines, names), bills)
