"""What a page is of: a tree and those that it goes on in, on one build of an engine."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from diagtree.graph.labour import Labour, closure, labour
from diagtree.graph.serving import suited
from diagtree.model.check import Check
from diagtree.model.engine import Build, Engine
from diagtree.model.fault import Caution
from diagtree.model.library import Library
from diagtree.model.tree import Outcome, Tree
from diagtree.walk.answers import Refused
from diagtree.walk.replies import Case
from diagtree.walk.session import Session, begin


@dataclass(frozen=True, eq=False)
class Ground:
    """A build and its trees."""

    read: Library  # as it was read
    library: Library  # as it holds for the engine
    engine: Engine
    build: Build
    trees: tuple[Tree, ...]  # the one walked first, then those that it goes on in, at first or later
    start: Session

    @cached_property
    def work(self) -> Labour:
        """The build's work."""
        return labour(self.engine, self.build)

    @cached_property
    def checks(self) -> tuple[Check, ...]:
        """The checks that any of the trees asks, in the library's order."""
        asked = {name for tree in self.trees for name in tree.checks}
        return tuple(check for name, check in self.library.checks.items() if name in asked)

    @cached_property
    def cautions(self) -> dict[str, Caution]:
        """Those that hold for the build."""
        found = self.library.cautions.items()
        return {name: one for name, one in found if one.when.admits(self.build.features)}

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """The ends of all trees."""
        return tuple(node for tree in self.trees for node in tree.outcomes)

    def applies(self, check: Check) -> bool:
        """Whether a check can be done on the build."""
        return check.when.admits(self.build.features)

    def closed(self, steps: Iterable[str]) -> frozenset[str]:
        """The closure of some steps."""
        return closure(self.work, steps)

    def name(self, steps: Iterable[str]) -> str:
        """A set of steps as a word of the page's tables."""
        return " ".join(self.ordered(steps))

    def ordered(self, steps: Iterable[str]) -> list[str]:
        """Steps in the engine's order, which names a set of them."""
        held = set(steps)
        return [name for name in self.work.steps if name in held]


def ground(library: Library, tree: Tree, engine: Engine, build: Build) -> Ground | Refused:
    """What a page of this tree stands on; refused where it has no node to start at."""
    start = begin(Case(library, tree, engine, (build,), build.features))
    if isinstance(start, Refused):
        return start
    return Ground(library, suited(library, engine), engine, build, _reachable(library, tree), start)


def _reachable(library: Library, tree: Tree) -> tuple[Tree, ...]:
    found = {tree.id: tree}
    waiting = [tree]
    while waiting:
        for node in waiting.pop(0).onwards:
            if node.tree in library.trees and node.tree not in found:
                found[node.tree] = library.trees[node.tree]
                waiting.append(found[node.tree])
    return tuple(found.values())
