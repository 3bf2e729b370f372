"""How often a car takes each answer of a tree and ends at each of its ends, by the tables."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from diagtree.graph.serving import suited
from diagtree.graph.trees import ELSE, Link
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Question, Tree, targets
from diagtree.reason.belief import Contradiction, believe
from diagtree.reason.finding import Finding
from diagtree.reason.tables import Floats, Tables, tables

_MOST = 200_000  # states worked through before it is given up

_Known = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Flow:
    """Shares of all cars, each from 0 to 1."""

    links: Mapping[Link, float]  # answers; one without an entry is never taken
    nodes: Mapping[str, float]


def flow(
    library: Library, tree: Tree, engine: Engine, builds: Iterable[Build], findings: Iterable[Finding] = ()
) -> Flow | None:
    """Follow all cars of some builds through a tree. What was found decides where it is asked.

    Nobody is said not to be able to tell: `else` is taken where a check does not apply, or an answer forbids it.

    Returns:
        None where the tables say nothing (no check of the tree has `given`, no weight is left, the findings contradict
        one another), and where the tree has too many states to follow.
    """
    library = suited(library, engine)
    checks = [name for name in tree.checks if name in library.checks]
    if not any(library.checks[name].given for name in checks):
        return None
    known = tables(library, tree, builds, checks)
    found = tuple(findings)
    now = believe(known, [one for one in found if one.check in known.rows])
    if isinstance(now, Contradiction):
        return None
    walker = _Walker(library, tree, known, {one.check: one.answer for one in found})
    for column in range(len(known.builds)):
        if now.joint[:, column].any() and not walker.walk(now.joint[:, column], column):
            return None
    return Flow(dict(walker.links), dict(walker.nodes))


class _Walker:
    def __init__(self, library: Library, tree: Tree, known: Tables, told: dict[str, str]) -> None:
        self.library, self.tree, self.known, self.told = library, tree, known, told
        self.links: dict[Link, float] = defaultdict(float)
        self.nodes: dict[str, float] = defaultdict(float)
        self.below: dict[str, frozenset[str]] = {}
        self.order = self._ordered()
        self._left = _MOST

    def _ordered(self) -> list[str]:
        """The nodes that the start leads to, each before those that it leads to; what is asked below each."""
        order: list[str] = []

        def visit(name: str) -> None:
            if name in self.below or name not in self.tree.nodes:
                return
            self.below[name] = frozenset()  # a ring ends here; `vet` reports it
            node = self.tree.nodes[name]
            names: set[str] = set()
            for target in targets(node):
                visit(target)
                names |= self.below.get(target, frozenset())
            if isinstance(node, Question) and node.check in self.library.checks:
                names |= {node.check, *self.library.checks[node.check].never_after}
            self.below[name] = frozenset(names)
            order.append(name)

        visit(self.tree.start)
        return order[::-1]

    def walk(self, chances: Floats, column: int) -> bool:
        """Add the cars of one build: shape (causes,). False where there are too many states."""
        states: dict[str, dict[_Known, Floats]] = {name: {} for name in self.order}
        if not self.order:
            return True
        self._pass(states, self.tree.start, tuple(sorted(self.told.items())), chances)
        for name in self.order:
            node = self.tree.nodes[name]
            here = states.pop(name)
            self._left -= len(here)
            if self._left < 0:
                return False
            for known, mass in here.items():
                self.nodes[name] += float(mass.sum())
                if isinstance(node, Question):
                    self._ask(states, node, known, mass, column)
        return True

    def _ask(
        self, states: dict[str, dict[_Known, Floats]], node: Question, known: _Known, mass: Floats, column: int
    ) -> None:
        said = dict(known)
        check = self.library.checks.get(node.check)
        if check is None:
            return
        if node.check in said:
            self._go(states, node, said[node.check], known, mass)
        elif not self.known.applies[check.id][column] or any(
            said.get(other) in answers for other, answers in check.never_after.items()
        ):
            self._go(states, node, ELSE, known, mass)
        else:
            for answer, row in zip(check.answers, self.known.rows[check.id], strict=True):
                told = tuple(sorted([*known, (check.id, answer.id)]))
                self._go(states, node, answer.id, told, np.asarray(mass * row, dtype=np.float64))

    def _go(
        self, states: dict[str, dict[_Known, Floats]], node: Question, key: str, known: _Known, mass: Floats
    ) -> None:
        target = node.otherwise if key == ELSE else node.then.get(key, "")
        if target and mass.any():
            self.links[Link(node.id, target, key)] += float(mass.sum())
            self._pass(states, target, known, mass)

    def _pass(self, states: dict[str, dict[_Known, Floats]], target: str, known: _Known, mass: Floats) -> None:
        if target not in states:  # no such node, or a ring
            return
        kept = tuple(pair for pair in known if pair[0] in self.below[target])
        there = states[target]
        there[kept] = there[kept] + mass if kept in there else mass


def mean(flows: list[Flow]) -> Flow | None:
    """Several flows as one, each counting alike; None of none."""
    if not flows:
        return None
    every = {link for found in flows for link in found.links}
    names = {name for found in flows for name in found.nodes}
    return Flow(
        {link: sum(found.links.get(link, 0.0) for found in flows) / len(flows) for link in every},
        {name: sum(found.nodes.get(name, 0.0) for found in flows) / len(flows) for name in names},
    )
