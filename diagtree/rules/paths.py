"""The paths of a tree and of those it goes on in, followed without listing them.

A state is a node and the answers that can still change what happens after it. States are visited once each, so that
a tree whose paths join again costs its nodes and not its paths.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from diagtree.model.check import Check
from diagtree.model.library import Library
from diagtree.model.problem import Problem, problem
from diagtree.model.quantity import Features
from diagtree.model.tree import Node, Onward, Question, Tree, targets
from diagtree.rules.survey import with_onward

MOST_STATES = 10_000  # met only by a tree that asks a dozen checks twice; costs a tenth of a second

Spot = tuple[str, str]  # tree, node
Watch = Callable[[Check], Iterable[str]]


class State(NamedTuple):
    """A node met on the way, the answers known that still matter, and what a rule carries along."""

    spot: Spot
    known: tuple[tuple[str, str], ...]  # (check, answer), sorted
    carried: str


@dataclass(frozen=True, slots=True)
class Ground:
    """A tree with all that it goes on in, and, for each node, the checks whose answers matter from there on."""

    library: Library
    start: Spot
    nodes: Mapping[Spot, Node]
    matters: Mapping[Spot, frozenset[str]]

    @property
    def checks(self) -> tuple[Check, ...]:
        """The checks asked anywhere on it, each once."""
        names = dict.fromkeys(node.check for node in self.nodes.values() if isinstance(node, Question))
        return tuple(self.library.checks[name] for name in names if name in self.library.checks)

    def applying(self, features: Features) -> frozenset[str]:
        """The checks on it that apply to a build."""
        return frozenset(check.id for check in self.checks if check.when.admits(features))


class Followed(NamedTuple):
    """The states met, each once, and whether these are all."""

    states: tuple[State, ...]
    whole: bool


def ground(library: Library, tree: Tree, watch: Watch) -> Ground | None:
    """The ground that a tree's paths cover; None where it has a ring or no start (another rule says so).

    `watch` names the checks whose answers change what happens where a check is asked. The check itself always does.
    """
    from graphlib import CycleError, TopologicalSorter

    nodes = {(one.id, node.id): node for one in with_onward(library, tree) for node in one.nodes.values()}
    start = (tree.id, tree.start)
    if start not in nodes:
        return None
    ends = {spot: tuple(end for end in _ends(library, spot, node) if end in nodes) for spot, node in nodes.items()}
    try:
        order = tuple(TopologicalSorter(ends).static_order())  # ends first
    except CycleError:
        return None
    matters: dict[Spot, frozenset[str]] = {}
    for spot in order:
        matters[spot] = _here(library, nodes[spot], watch).union(*(matters[end] for end in ends[spot]))
    return Ground(library, start, nodes, matters)


def _ends(library: Library, spot: Spot, node: Node) -> Iterator[Spot]:
    if isinstance(node, Onward) and node.tree in library.trees:
        yield (node.tree, library.trees[node.tree].start)
    yield from ((spot[0], name) for name in targets(node))


def _here(library: Library, node: Node, watch: Watch) -> frozenset[str]:
    check = library.checks.get(node.check) if isinstance(node, Question) else None
    return frozenset() if check is None else frozenset((check.id, *watch(check)))


def nothing_carried(_check: Check, _carried: str) -> str:
    """For rules that only ask which nodes can be met."""
    return ""


def follow(on: Ground, applying: frozenset[str], carry: Callable[[Check, str], str] = nothing_carried) -> Followed:
    """Every state that a build can meet, given the checks that apply to it.

    A check answered before is not asked again: its answer leads on. One that does not apply leads to `else`.
    `carry` says what is carried on after a check is asked, from the check and what was carried before.
    """
    first = State(on.start, (), "")
    seen = {first: None}  # a dictionary keeps the order, so that reports are the same every time
    waiting = [first]
    while waiting:
        for state in _next(on, applying, carry, waiting.pop()):
            if state in seen:
                continue
            if len(seen) == MOST_STATES:
                return Followed(tuple(seen), whole=False)
            seen[state] = None
            waiting.append(state)
    return Followed(tuple(seen), whole=True)


def _next(on: Ground, applying: frozenset[str], carry: Callable[[Check, str], str], state: State) -> Iterator[State]:
    node = on.nodes[state.spot]
    if not isinstance(node, Question):
        for spot in _ends(on.library, state.spot, node):
            yield from _at(on, spot, state.known, state.carried)
        return
    known = dict(state.known)
    tree = state.spot[0]
    if node.check in known:
        yield from _at(on, (tree, node.then.get(known[node.check], "")), state.known, state.carried)
        return
    yield from _at(on, (tree, node.otherwise), state.known, state.carried)
    if node.check in applying:
        carried = carry(on.library.checks[node.check], state.carried)
        for answer, end in node.then.items():
            yield from _at(on, (tree, end), tuple(sorted((*state.known, (node.check, answer)))), carried)


def _at(on: Ground, spot: Spot, known: tuple[tuple[str, str], ...], carried: str) -> Iterator[State]:
    if spot in on.nodes:
        if known:
            matters = on.matters[spot]
            known = tuple([pair for pair in known if pair[0] in matters])
        yield State(spot, known, carried)


def unfinished(library: Library, tree: Tree, rule: str) -> Problem:
    """The warning that not every path could be followed."""
    message = (
        f"Tree '{tree.id}' asks so many checks more than once that not every path was followed. "
        "Ask fewer of them twice."
    )
    return problem(library.value("tree", tree.id, "tree"), rule, message, severity="warning")
