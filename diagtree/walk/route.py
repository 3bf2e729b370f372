"""Where what is known leads in a tree, and in the trees that it goes on in."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from diagtree.model.check import Check
from diagtree.model.library import Library
from diagtree.model.tree import Node, Onward, Outcome, Question, Tree
from diagtree.walk.replies import Known

# How a node was left, or why the walk stands at it.
Passing: TypeAlias = Literal[
    "answered", "cannot-tell", "does-not-apply", "never-after", "onward", "turned", "asked", "outcome", "no-way-on"
]


@dataclass(frozen=True, slots=True)
class Stop:
    """A node on the way."""

    tree: Tree
    node: Node
    passing: Passing


@dataclass(frozen=True, slots=True)
class Route:
    """The nodes from the start to where the walk stands; at least one."""

    stops: tuple[Stop, ...]

    @property
    def here(self) -> Stop:
        """Where the walk stands."""
        return self.stops[-1]


def follow(library: Library, tree: Tree, known: Known) -> Route:
    """Walk from the start of `tree` as far as what is known decides.

    A check asked before is not asked twice: its answer decides, in whichever tree it was given. A check that applies to
    no possible build, or that an answer forbids, takes `else` by itself.
    """
    stops: list[Stop] = []
    met: set[tuple[str, str]] = set()
    name = tree.start
    while name in tree.nodes and (tree.id, name) not in met:  # `vet` reports a missing node and a ring; no walk hangs
        met.add((tree.id, name))
        node = tree.nodes[name]
        passing, name = _pass(library, node, known)
        stops.append(Stop(tree, node, passing))
        if passing == "onward" and isinstance(node, Onward):
            tree = library.trees[node.tree]
            name = tree.start
        elif not name:
            return Route(tuple(stops))
    last = stops[-1]
    return Route((*stops[:-1], Stop(last.tree, last.node, "no-way-on")))


def _pass(library: Library, node: Node, known: Known) -> tuple[Passing, str]:
    """How a node is left and where to; an empty name: the walk stands there."""
    match node:
        case Outcome():
            return "outcome", ""
        case Onward():
            return ("onward", "") if node.tree in library.trees else ("no-way-on", "")
        case Question():
            check = library.checks.get(node.check)
            return _pass_question(node, check, known) if check else ("no-way-on", "")


def _pass_question(node: Question, check: Check, known: Known) -> tuple[Passing, str]:
    finding = known.findings.get(check.id)
    if finding:
        return "answered", node.then.get(finding.answer, "?")
    if not known.applies(check):
        return _otherwise(node, "does-not-apply")
    if known.forbidden_by(check):
        return _otherwise(node, "never-after")
    if check.id in known.unknown and node.otherwise:
        return "cannot-tell", node.otherwise
    return "asked", ""


def _otherwise(node: Question, reason: Passing) -> tuple[Passing, str]:
    return (reason, node.otherwise) if node.otherwise else ("no-way-on", "")
