"""One tree on one engine in one build, as numbers: causes, work, checks.

Sets of work steps are integers, a bit a step: a union is `|`, and a closure is worked out once. The bit above the
steps stand for going on in another tree, one for each such tree: like a repair of one step.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

import numpy as np

from diagtree.graph.labour import Labour, closure, labour
from diagtree.graph.pricing import exact, mean_hours, parts_price, step_price
from diagtree.graph.serving import suited
from diagtree.model.check import Check
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Question, Tree, targets
from diagtree.reason.finding import Finding, plain
from diagtree.reason.stopping import Work
from diagtree.reason.tables import Floats, rows, tables
from diagtree.reason.unions import Unions, unions


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """A check of a case."""

    id: str
    answers: tuple[str, ...]
    rows: Floats  # (answers, causes): P(answer | cause)
    applies: bool
    price: float  # its own hours and takes, money
    behind: int  # closed set of the steps that it needs done first
    never_after: Mapping[str, frozenset[str]]  # check -> answers that forbid this one
    findings: tuple[Finding, ...]  # of each answer, taken as it stands


@dataclass(frozen=True, eq=False)
class Case:
    """A tree on an engine in a build. Money in the shop's currency, hours times its rate among it."""

    library: Library
    tree: Tree
    work: Labour
    causes: tuple[str, ...]
    prior: Floats  # (causes,), sum 1; all 0 where no weight is left in this build
    steps: tuple[str, ...]  # the step of each bit
    prices: tuple[float, ...]  # of each step: k(s)
    # Of each cause a closed set; None: no work mends it (`other`), or the build can't have it: then it is no scope.
    repairs: tuple[int | None, ...]
    come_back: tuple[float, ...]  # of each cause, without what going on in a tree costs
    checks: Mapping[str, Asked]

    @property
    def engine(self) -> Engine:
        """The engine."""
        return self.work.engine

    @property
    def build(self) -> Build:
        """The build."""
        return self.work.build

    @cached_property
    def onward(self) -> Mapping[str, int]:
        """Tree that this one goes on in -> its bit, as a set."""
        return {tree: 1 << (len(self.steps) + at) for at, tree in enumerate(onward_trees(self.tree))}

    @cached_property
    def beyond(self) -> "Mapping[str, Case]":
        """The cases of the trees that may be gone on to, at first or later."""
        found: dict[str, Case] = {}
        for tree in onward_trees(self.tree):
            there = case(self.library, self.library.trees[tree], self.engine, self.build)
            found.update({tree: there, **there.beyond})
        return found

    @cached_property
    def below(self) -> Mapping[str, frozenset[str]]:
        """Node -> the checks on which the way on from it may depend: those asked from there, and what forbids them."""
        found: dict[str, frozenset[str]] = {}

        def gather(node: str) -> frozenset[str]:
            if node not in found:
                here = self.tree.nodes[node]
                names: set[str] = set()
                if isinstance(here, Question):
                    names |= {here.check, *self.checks[here.check].never_after}
                for target in targets(here):
                    names |= gather(target)
                found[node] = frozenset(names)
            return found[node]

        for node in self.tree.nodes:
            gather(node)
        return found

    @cached_property
    def walked(self) -> "dict[tuple[str, int, tuple[tuple[str, str], ...]], Floats]":
        """What `walking` has worked out: (node, done, answers that matter) -> cost by cause."""
        return {}

    @cached_property
    def plain_work(self) -> Work:
        """What the best scope depends on where no tree is gone on to."""
        return Work(self.prices, self.repairs, self.come_back)

    @cached_property
    def _rows(self) -> dict[str, Floats]:
        return {}

    @cached_property
    def stack(self) -> tuple[Floats, Mapping[str, tuple[int, int]]]:
        """The rows of all checks that apply, one below another, and where those of each begin and end."""
        ends = list(accumulate(len(check.answers) for check in self.free))
        names = (check.id for check in self.free)
        rows = np.concatenate([np.zeros((0, len(self.causes))), *(check.rows for check in self.free)])
        return rows, dict(zip(names, zip([0, *ends[:-1]], ends, strict=True), strict=True))

    @cached_property
    def _unions(self) -> dict[int, Unions | None]:
        return {}

    def unions(self, done: int) -> Unions | None:
        """What makes many best scopes quick once these steps are done; None where only one at a time is."""
        if done not in self._unions:
            self._unions[done] = unions(self.plain_work, done)
        return self._unions[done]

    @cached_property
    def free(self) -> tuple[Asked, ...]:
        """The checks that apply, in file order."""
        return tuple(check for check in self.checks.values() if check.applies)

    def rows(self, check: str) -> Floats:
        """(answers, causes): P(answer | cause) of any check of the library, asked in this tree or not."""
        known = self.checks.get(check)
        if known is not None:
            return known.rows
        if check not in self._rows:
            self._rows[check] = rows(self.library, self.library.checks[check], self.causes)
        return self._rows[check]

    def behind(self, check: str) -> int:
        """The steps that any check of the library opens; none where it does not apply."""
        known = self.checks.get(check)
        if known is not None:
            return known.behind if known.applies else 0
        found = self.library.checks[check]
        return self.closed(found.behind) if found.when.admits(self.build.features) else 0

    @cached_property
    def _bits(self) -> Mapping[str, int]:
        return {step: 1 << at for at, step in enumerate(self.steps)}

    @cached_property
    def _paid(self) -> dict[int, float]:
        return {}

    def cost(self, steps: int) -> float:
        """What a set of steps costs, each once. Bits of trees gone on to cost nothing here."""
        found = self._paid.get(steps)
        if found is None:
            rest, total = steps & ((1 << len(self.steps)) - 1), 0.0
            while rest:
                low = rest & -rest
                total += self.prices[low.bit_length() - 1]
                rest ^= low
            found = self._paid[steps] = total
        return found

    def closed(self, wanted: Iterable[str]) -> int:
        """The closure of some steps, as a set."""
        return self.bits(closure(self.work, wanted))

    def bits(self, steps: Iterable[str]) -> int:
        """Steps as a set."""
        found = 0
        for step in steps:
            found |= self._bits[step]
        return found

    def names(self, steps: int) -> tuple[str, ...]:
        """A set as steps, in file order."""
        return tuple(step for at, step in enumerate(self.steps) if steps >> at & 1)

    def mends(self, steps: int) -> tuple[bool, ...]:
        """For each cause, whether a set of steps mends it."""
        return tuple(repair is not None and not repair & ~steps for repair in self.repairs)


def onward_trees(tree: Tree) -> tuple[str, ...]:
    """The trees that a tree goes on in, each once, in file order."""
    return tuple(dict.fromkeys(node.tree for node in tree.onwards))


def case(library: Library, tree: Tree, engine: Engine, build: Build) -> Case:
    """The numbers of a tree on an engine in a build, for all checks that the tree asks."""
    library = suited(library, engine)
    work = labour(engine, build)
    names = [name for name in tree.checks if name in library.checks]
    known = tables(library, tree, (build,), names)
    steps = tuple(work.steps)
    rate = library.rates.labour_rate
    onward = {name: 1 << (len(steps) + at) for at, name in enumerate(onward_trees(tree))}
    bits = {step: 1 << at for at, step in enumerate(steps)}

    def closed(wanted: Iterable[str]) -> int:
        return sum(bits[step] for step in closure(work, wanted))

    def repair(cause: str) -> int | None:
        if cause in onward:
            return onward[cause]
        if cause not in known.faults or not library.faults[cause].when.admits(build.features):
            return None
        return closed(library.faults[cause].repair)

    prices = tuple(float(step_price(work, step, rate)) for step in work.steps.values())
    repairs = tuple(repair(cause) for cause in known.causes)
    return Case(
        library=library,
        tree=tree,
        work=work,
        causes=known.causes,
        prior=_normal(known.log_prior[:, 0]),
        steps=steps,
        prices=prices,
        repairs=repairs,
        come_back=tuple(
            _come_back(library, cause if cause in known.faults else "", repair or 0, prices)
            for cause, repair in zip(known.causes, repairs, strict=True)
        ),
        checks={
            name: _asked(library.checks[name], known.rows[name], work, rate, closed(library.checks[name].behind))
            for name in names
        },
    )


class _Kept:
    """The cases of one library that were made so far."""

    def __init__(self, library: Library) -> None:
        self.library = library
        self.cases: dict[tuple[int, int, int], Case] = {}  # each holds what its key is of


# Of the library asked last: at every question of a walk the same cases are asked for, and what they have worked out.
# Compared by identity: nothing of a library changes.
_LAST: list[_Kept] = []
_MOST_KEPT = 64


def kept_case(library: Library, tree: Tree, engine: Engine, build: Build) -> Case:
    """`case`, made once for these very objects."""
    last = _LAST[0] if _LAST and _LAST[0].library is library else _Kept(library)
    _LAST[:] = [last]
    key = id(tree), id(engine), id(build)
    found = last.cases.get(key)
    if found is None:
        if len(last.cases) >= _MOST_KEPT:
            last.cases.clear()
        found = last.cases[key] = case(library, tree, engine, build)
    return found


def _asked(check: Check, rows: Floats, work: Labour, rate: float, behind: int) -> Asked:
    own = exact(rate) * mean_hours(check.hours) + parts_price(work.engine, work.build, check.takes)
    return Asked(
        id=check.id,
        answers=tuple(answer.id for answer in check.answers),
        rows=rows,
        applies=check.when.admits(work.build.features),
        price=float(own),
        behind=behind,
        never_after={name: frozenset(answers) for name, answers in check.never_after.items()},
        findings=tuple(plain(check, answer.id) for answer in check.answers),
    )


def _come_back(library: Library, fault: str, repair: int, prices: tuple[float, ...]) -> float:
    """Goodwill, what the fault destroys, and its repair with nothing done."""
    missed = library.faults[fault].if_missed if fault else 0.0
    again = sum(price for at, price in enumerate(prices) if repair >> at & 1)
    return library.rates.goodwill + missed + again


def _normal(logs: Floats) -> Floats:
    top = logs.max(initial=-np.inf)
    if top == -np.inf:
        return np.zeros(len(logs))
    weights = np.exp(logs - top)
    return np.asarray(weights / weights.sum(), dtype=float)
