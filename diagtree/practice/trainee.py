"""Trainees that never tire: the best order, the tree as it is written, and chance. To compare with, and to test by."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from random import Random
from threading import Lock
from typing import TypeAlias

from diagtree.practice.car import Car
from diagtree.practice.drill import Drill, Refused, ask, asked_by_tree, begin, come_back, name_repair, repair_cost
from diagtree.reason.case import Case
from diagtree.reason.looking import meant
from diagtree.reason.policy import Policy, best, chosen, first_moves
from diagtree.reason.standing import Standing, start
from diagtree.reason.walking import walk_cost

# Of a search, at each decision: repeatable on every machine, where seconds would not be.
NODES = 60

Move: TypeAlias = str | tuple[str, ...]
Trainee: TypeAlias = Callable[[Drill], Move]


@dataclass(frozen=True, slots=True, eq=False)
class Worth:
    """What each first move costs from a standing, going on by the best order found. Money, means."""

    checks: Mapping[str, float]  # each check that may be done
    stop: float  # to mend what is best mended now
    move: Move  # the cheapest: a check, or the causes to mend
    exact: bool

    @property
    def cost(self) -> float:
        """Of the cheapest."""
        return min(self.stop, *self.checks.values()) if self.checks else self.stop


@dataclass(frozen=True, slots=True)
class Average:
    """What all cars of a case cost, on average."""

    walked: float  # by the tree as it is written
    policy: Policy  # by the best order found


class Adviser:
    """Works out what the first moves from a standing cost, each set of answers once.

    All moves are looked at alike, so that what one costs beyond another is fair also where a search finds no exact
    figure. One thread may ask while another works: what both want is worked out once.
    """

    def __init__(self, nodes: int = NODES) -> None:
        """Args: nodes, how many sets of answers a search may meet where they can't all be listed."""
        self._nodes = nodes
        self._known: dict[object, Worth] = {}
        self._averages: dict[int, tuple[Case, Average]] = {}  # the case is kept, so that its id names no other one
        self._lock = Lock()

    def worth(self, here: Standing) -> Worth:
        """The first moves from here. P(answers) is above 0."""
        answers = frozenset((name, finding.answer) for name, finding in here.findings.items())
        key = (id(here.case), answers, here.done)
        with self._lock:
            if key not in self._known:
                self._known[key] = self._look(here)
            return self._known[key]

    def average(self, of: Case) -> Average:
        """What all cars of a case cost by the tree and by the best order."""
        with self._lock:
            if id(of) not in self._averages:
                here = start(of)
                self._averages[id(of)] = of, Average(walk_cost(here), best(here, None, nodes=self._nodes))
            return self._averages[id(of)][1]

    def _look(self, here: Standing) -> Worth:
        spans = first_moves(here, None, nodes=self._nodes)
        found = chosen(spans)
        checks = {name: span.cost for name, span in spans.items() if name is not None}
        move: Move = found.check if found.check is not None else stop_here(here)
        return Worth(checks, spans[None].cost, move, found.exact)

    def __call__(self, drill: Drill) -> Move:
        """As a trainee."""
        return self.worth(drill.here).move


def stop_here(here: Standing) -> tuple[str, ...]:
    """The causes of the best scope now; () where nothing can be mended."""
    stop = here.stop()
    return tuple(here.case.causes[at] for at in meant(here, stop)) if stop else ()


def by_tree(drill: Drill) -> Move:
    """Does what the tree asks; where it has no way on, mends what is best mended."""
    return asked_by_tree(drill) or stop_here(drill.here)


def by_chance(chance: Random) -> Trainee:
    """Picks any check that is allowed, or stops, each as likely; then mends what is best mended."""

    def move(drill: Drill) -> Move:
        names: list[Move] = [check.id for check in drill.here.open_checks()]
        chosen = chance.choice([*names, ()])
        return chosen or stop_here(drill.here)

    return move


def run(car: Car, trainee: Trainee) -> Drill:
    """A whole drill. A trainee that breaks a rule is a bug of ours."""
    drill = begin(car)
    while drill.ended is None:
        move = trainee(drill)
        after = ask(drill, move) if isinstance(move, str) else name_repair(drill, move)
        assert not isinstance(after, Refused), after
        drill = after
    return drill


def cost(drill: Drill) -> float:
    """What the car came to: checks, access, repair, come-back."""
    return drill.paid + repair_cost(drill) + come_back(drill)
