"""What a drawing is of."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

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


def variants(library: Library, tree: Tree) -> tuple[tuple[Subject, ...], tuple[Subject, ...]]:
    """The tree for all engines that it serves, and for each of them alone.

    Returns:
        Those that are drawn; and, for room to be kept, each engine alone with bills no shorter than those of any of its
        builds.
    """
    engines = served(library, tree)
    works = _works(engines)
    found = _spans(library, tree, works)
    apart = [(engine,) for engine in engines] if len(engines) > 1 else []
    drawn = tuple(_subject(library, tree, each, works, found) for each in (engines, *apart))
    alone = [one for one in drawn if len(one.engines) == 1]
    return drawn, tuple(replace(one, bills=said(library, found, one.engines, widest=True)) for one in alone)


def of_builds(whole: Subject, made: Collection[str]) -> Subject:
    """The same with the bills of some builds alone; their cautions stay, since their numbers must."""
    works = _works(whole.engines, made)
    return replace(whole, bills=said(whole.library, _spans(whole.library, whole.tree, works), whole.engines))


def _works(engines: tuple[Engine, ...], made: Collection[str] = ()) -> _Works:
    """The work of each build; of those named alone, where some are."""
    return {
        engine.id: tuple(labour(engine, build) for build in builds(engine) if not made or build.id in made)
        for engine in engines
    }


def _spans(library: Library, tree: Tree, works: _Works) -> Mapping[str, Spans]:
    return {name: spans(library, tree, made) for name, made in works.items()}


def _subject(
    library: Library, tree: Tree, engines: tuple[Engine, ...], works: _Works, found: Mapping[str, Spans]
) -> Subject:
    names = named(library, tree, [work for engine in engines for work in works[engine.id]])
    bills = said(library, found, engines)
    return Subject(library, tree, engines, names, numbered(library, tree, engines, names), bills)
