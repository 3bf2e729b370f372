"""What a finished drill was worth: each choice against the best one at that moment, so that bad luck is no fault."""

from dataclasses import dataclass

import numpy as np

from diagtree.graph.labour import closure
from diagtree.practice.drill import Drill, Taken, come_back, mended, repair_cost, wanted
from diagtree.practice.trainee import Adviser, Move, by_tree, run
from diagtree.reason.standing import Standing

# A check told nothing where no cause became likelier or less likely by as much as this.
NOTHING = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """One decision: a check, or the repair at the end. Money, means over what was possible then."""

    move: Move
    taken: Taken | None  # None: the repair
    odds: float  # P(the car's cause) before it
    cost: float  # of this choice, going on by the best order found
    best: float  # of the best choice found
    better: Move  # what the best choice was

    @property
    def regret(self) -> float:
        """What the choice cost on average beyond the best one."""
        return max(0.0, self.cost - self.best)

    @property
    def change(self) -> float:
        """By how much the chance of any cause moved; 0 for the repair."""
        if self.taken is None:
            return 0.0
        return float(np.abs(shares(self.taken.after) - shares(self.taken.before)).max())

    @property
    def told_nothing(self) -> bool:
        """Whether it was a check after which everything stood as before."""
        return self.taken is not None and self.change < NOTHING


@dataclass(frozen=True, slots=True, eq=False)
class Review:
    """A drill, judged."""

    drill: Drill
    choices: tuple[Choice, ...]  # the repair last; without it where a forbidden check ended the drill
    odds: float  # P(the car's cause) at the end
    mended: bool
    repair: float  # money
    come_back: float
    for_nothing: tuple[str, ...]  # steps that came off for checks, and that neither repair nor the car's fault needed
    tree: Drill  # the same car by the tree
    best: Drill  # the same car by the best order found
    walk_cost: float  # of all such cars by the tree, on average
    best_cost: float  # by the best order found
    exact: bool  # whether no order can cost less

    @property
    def failed(self) -> bool:
        """Whether a check was done that an answer forbade."""
        return bool(self.drill.ended and self.drill.ended.forbidden)

    @property
    def regret(self) -> float:
        """What the choices cost on average beyond the best ones: the score, the less the better."""
        return sum(one.regret for one in self.choices)

    @property
    def total(self) -> float:
        """What the car came to: checks, access, repair, come-back."""
        return self.drill.paid + self.repair + self.come_back


def review(drill: Drill, adviser: Adviser) -> Review:
    """Judge a drill that has ended."""
    assert drill.ended is not None
    car = drill.car
    average = adviser.average(car.case)
    walked, found = average.walked, average.policy
    return Review(
        drill=drill,
        choices=(*(_check(drill, one, adviser) for one in drill.taken), *_repair(drill, adviser)),
        odds=_odds(drill, drill.here),
        mended=not drill.ended.forbidden and mended(drill),
        repair=0.0 if drill.ended.forbidden else repair_cost(drill),
        come_back=come_back(drill),
        for_nothing=_for_nothing(drill),
        tree=run(car, by_tree),
        best=run(car, adviser),
        walk_cost=walked,
        best_cost=min(found.cost, walked),
        exact=found.exact,
    )


def shares(here: Standing) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    """(causes,): P(cause | answers)."""
    return np.asarray(here.chances / here.chances.sum(), dtype=np.float64)


def _check(drill: Drill, one: Taken, adviser: Adviser) -> Choice:
    known = adviser.worth(one.before)
    name, comes_to = one.check.id, known.checks[one.check.id]
    if not any(name in check.never_after for check in one.before.case.free):
        # Whatever it shows, one may go on as if it had not been done: it can't set one back by more than its price.
        # A search that finds no good way on from it would blame the trainee for more.
        comes_to = min(comes_to, known.cost + one.price)
    return Choice(name, one, _odds(drill, one.before), comes_to, known.cost, known.move)


def _repair(drill: Drill, adviser: Adviser) -> tuple[Choice, ...]:
    assert drill.ended is not None
    if drill.ended.forbidden:
        return ()
    here, work = drill.here, drill.here.work()
    gone = wanted(drill) | here.done
    left = [
        chance * lost
        for chance, lost, repair in zip(shares(here).tolist(), work.come_back, work.repairs, strict=True)
        if repair is None or repair & ~gone
    ]
    known, comes_to = adviser.worth(here), repair_cost(drill) + sum(left)
    # Of equal scopes the one that was named is as good as any.
    better = known.move if known.cost < comes_to else drill.ended.named
    return (Choice(drill.ended.named, None, _odds(drill, here), comes_to, min(known.cost, comes_to), better),)


def _odds(drill: Drill, here: Standing) -> float:
    return float(shares(here)[drill.car.cause])


def _for_nothing(drill: Drill) -> tuple[str, ...]:
    of = drill.car.case
    cause = of.causes[drill.car.cause]
    fault = of.library.faults.get(cause)
    needed = wanted(drill) | (of.bits(closure(of.work, fault.repair)) if fault else 0)
    return of.names(drill.here.done & ~needed)
