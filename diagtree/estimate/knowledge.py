"""What the ways of a visit depend on, whatever the build: where nodes lead, what answers tell, what is known."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from math import lcm
from typing import NamedTuple

import numpy as np

from diagtree.estimate.passage import Ground, Spot, ends, ground
from diagtree.graph.pricing import exact
from diagtree.model.check import Check
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Onward, Tree
from diagtree.reason.finding import Finding
from diagtree.reason.tables import Floats, rows, tables


class Work(NamedTuple):
    """What checks take: whole units of hours, and a set of what is more than that.

    Attributes:
        early: units of checks that open nothing.
        late: units of checks that open something.
        special: checks that take more than hours, and access, a bit each.
    """

    early: int
    late: int
    special: int


def plain(check: Check, engine: Engine) -> bool:
    """Whether all that a check takes is so many hours, behind access that each build opens, or none."""
    if check.hours.optimistic != check.hours.pessimistic or check.takes:
        return False
    return not check.behind or any(step in engine.work and not engine.work[step].when.terms for step in check.behind)


class Knowledge:
    """A tree with all that it goes on in, the answers so far, and tables that are made once.

    Sets are integers, a bit an answer, a check, or an access that checks lie behind. The hours of plain checks are
    whole numbers of `1 / unit` hours: ways on which they sum alike, behind the same access, take alike.
    """

    __slots__ = (
        "_causes",
        "_keeps",
        "_logs",
        "_priors",
        "_rows",
        "_trees",
        "answers",
        "findings",
        "ground",
        "known",
        "library",
        "lines",
        "names",
        "unit",
        "unknown",
        "work",
    )

    def __init__(
        self, library: Library, tree: Tree, engine: Engine, findings: Iterable[Finding], unknown: frozenset[str]
    ) -> None:
        self.library = library
        self.ground: Ground = ground(library, tree)
        self.findings: Mapping[str, Finding] = {finding.check: finding for finding in findings}
        self.known = {name: finding.answer for name, finding in self.findings.items()}
        self.unknown = unknown
        self.names = sorted(self.ground.matters[self.ground.start])  # the checks that may be asked at all
        checks = [library.checks[name] for name in self.names]
        self.answers: dict[str, Sequence[int]] = {}  # check -> the bit of each of its answers
        above = 0
        for check in checks:
            self.answers[check.id] = [1 << (above + at) for at in range(len(check.answers))]
            above += len(check.answers)
        hours = {check.id: exact(check.hours.likely) for check in checks if plain(check, engine)}
        self.unit = lcm(*(one.denominator for one in hours.values()))
        self.lines: list[str | tuple[str, ...]] = []  # of each bit of `Work.special`: a check's id, or steps of access
        self.work = {check.id: self._work(check, hours.get(check.id)) for check in checks}
        self._causes: dict[str, tuple[str, ...]] = {}
        self._rows: dict[tuple[str, str], Floats] = {}
        self._trees = _trees_ahead(self.ground)
        self._keeps: dict[Spot, int] = {}
        self._priors: dict[tuple[str, tuple[str, ...]], Floats] = {}
        self._logs: dict[str, list[tuple[int, Floats]]] = {}

    def causes(self, tree: str) -> tuple[str, ...]:
        """The causes of a tree."""
        if tree not in self._causes:
            self._causes[tree] = tables(self.library, self.library.trees[tree], (), ()).causes
        return self._causes[tree]

    def rows(self, tree: str, check: str) -> Floats:
        """(answers, causes, 1): P(answer | cause) for the causes of a tree."""
        found = self._rows.get((tree, check))
        if found is None:
            made = rows(self.library, self.library.checks[check], self.causes(tree))
            found = self._rows[tree, check] = made[:, :, np.newaxis]
        return found

    def _work(self, check: Check, hours: Fraction | None) -> Work:
        if hours is None:
            return Work(0, 0, self._line(check.id))
        units = int(hours * self.unit)
        return Work(0, units, self._line(tuple(sorted(check.behind)))) if check.behind else Work(units, 0, 0)

    def _line(self, line: str | tuple[str, ...]) -> int:
        if line not in self.lines:
            self.lines.append(line)
        return 1 << self.lines.index(line)

    def bits(self, check: str, answers: Iterable[str] | None = None) -> int:
        """The bits of some answers of a check that may be asked, or of all of them; 0 of any other check."""
        if check not in self.answers:
            return 0
        wanted = None if answers is None else frozenset(answers)
        found = zip(self.library.checks[check].answers, self.answers[check], strict=True)
        return sum(bit for answer, bit in found if wanted is None or answer.id in wanted)

    def keeps(self, spot: Spot) -> int:
        """The answers that may still matter from a node on.

        They do where they may decide the way, and where they tell something about a tree that may be gone on to.
        """
        found = self._keeps.get(spot)
        if found is None:
            deciding = set(self.ground.matters[spot])
            for name in self.ground.matters[spot]:
                deciding.update(self.library.checks[name].never_after)
            telling = {name for name in self.names if any(_tells(self.rows(tree, name)) for tree in self._trees[spot])}
            found = self._keeps[spot] = sum(self.bits(name) for name in deciding | telling)
        return found

    def afresh(self, tree: str, builds: Sequence[Build], facts: int) -> Floats:
        """P(cause | all answers so far) of a tree by its own weights, in each build.

        Returns:
            (causes, builds), each column of sum 1, or all 0 where the answers leave nothing of the tree.
        """
        logs = self._prior(tree, builds)
        for bit, seen in self._told(tree):
            if bit & facts:
                logs = logs + seen
        top = logs.max(axis=0, initial=-np.inf)
        weights = np.exp(logs - np.where(top > -np.inf, top, 0.0))
        total = weights.sum(axis=0)
        return np.asarray(weights / np.where(total > 0.0, total, 1.0), dtype=np.float64)

    def _prior(self, tree: str, builds: Sequence[Build]) -> Floats:
        """(causes, builds): log of weight times P(answers known at the start | cause)."""
        key = (tree, tuple(build.id for build in builds))
        if key not in self._priors:
            logs = tables(self.library, self.library.trees[tree], builds, ()).log_prior
            with np.errstate(divide="ignore"):  # log 0 is -inf, and meant
                for name, finding in self.findings.items():
                    logs = logs + np.log(np.tensordot(finding.shares, self.rows(tree, name), 1))
            self._priors[key] = logs
        return self._priors[key]

    def _told(self, tree: str) -> list[tuple[int, Floats]]:
        """The bit of each answer that tells something about a tree, and log P(answer | cause), (causes, 1)."""
        if tree not in self._logs:
            with np.errstate(divide="ignore"):
                self._logs[tree] = [
                    (bit, np.log(self.rows(tree, name)[at]))
                    for name, bits in self.answers.items()
                    if _tells(self.rows(tree, name))
                    for at, bit in enumerate(bits)
                ]
        return self._logs[tree]


def _tells(rows: Floats) -> bool:
    return bool((rows != rows[:, :1]).any())


def _trees_ahead(on: Ground) -> dict[Spot, frozenset[str]]:
    """Node -> the trees that may be gone on to from there."""
    found: dict[Spot, frozenset[str]] = {}
    for spot in on.order:
        node = on.nodes[spot]
        here = frozenset((node.tree,)) if isinstance(node, Onward) else frozenset[str]()
        found[spot] = here.union(*(found[end] for end in ends(on.library, spot, node)))
    return found
