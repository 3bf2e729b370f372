"""Good orders of checks quickly: grown greedily, pruned from their ends, then bettered where most is at stake.

How muddled a belief is: the sum over pairs of causes of b_f * b_g / |b|, each weighed by what it costs not to tell the
two apart. A check is good that clears much of this up for its price (after Golovin, Krause and Ray, Near-optimal
Bayesian active learning with noisy observations, 2010). At each set of answers the best scope ends the order where
going on costs more. So what an order costs is reached, whatever led to it.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from diagtree.reason.bounds import Bounder
from diagtree.reason.compact import Compact
from diagtree.reason.levels import standing, stop_loss
from diagtree.reason.losses import Losses
from diagtree.reason.standing import Standing, answered
from diagtree.reason.tables import Flags, Floats

# Beliefs that this share of all cars, and of those that an order begins with, never reaches are not followed further.
_LEAST = 2e-5
_OF_START = 1e-3
# Plans bettered together, and how much sooner one comes that was tried less often.
_TOGETHER = 24
_AGAIN = 1.5
# How much of the access that a check opens counts in its price, as repairs may need it anyway; and what power of the
# price weighs against what is cleared up.
_ACCESS = 0.6
_POWER = 0.9
# Of beliefs that this share of cars reaches the best scope is worked out, where that is only quick one at a time.
_HEAVY = 1e-3
# Beliefs from which checks are looked at together: fewer where costs depend on the answers.
_BATCH = 48
_BATCH_ONE_BY_ONE = 6
# Numbers worked on together stay in the cache.
_CHUNK = 1 << 17


@dataclass(slots=True, eq=False)
class Plan:
    """What is done after some answers, and after all that follow. Costs are times the chance of these answers."""

    digits: bytes
    chances: Floats
    mass: float
    done: int
    free: Flags
    here: Standing | None = None  # where costs depend on the answers
    stop: float = 0.0
    least: float = 0.0  # what who knew the cause would pay
    cost: float = 0.0
    test: int = -1  # -1: stop
    price: float = 0.0
    floor: float = 0.0  # chances below this are not followed further
    after: list["Plan"] = field(default_factory=list)
    tried: set[int] = field(default_factory=set)

    @property
    def stake(self) -> float:
        """What better checks could spare at most."""
        return self.cost - self.least


class Orders:
    """Orders of checks for one problem."""

    def __init__(self, of: Compact, losses: Losses, bounder: Bounder, go_on: Callable[[], bool]) -> None:
        """Lay the rows of all tests side by side."""
        self.of, self._losses, self._bounder, self._go_on = of, losses, bounder, go_on
        self.many = 0
        self._rows = np.array([row for test in of.tests for row in test.rows]).reshape(-1, len(of.chances))
        counts = [len(test.rows) for test in of.tests]
        self._starts = np.cumsum([0, *counts[:-1]]).astype(np.intp)[: len(counts)]
        self._own = np.array([test.price for test in of.tests])
        self._gone = [
            [np.array([not (gone | 1 << at) >> other & 1 for other in range(len(of.tests))]) for gone in answers]
            for at, answers in enumerate(of.forbids)
        ]
        self._access: dict[int, Floats] = {}
        self._weights = _weights(of)
        self._mass = float(of.chances.sum())

    def plan(self, digits: bytes, done: int, free: Flags) -> Plan:
        """A set of answers, not yet looked at."""
        chances = self.of.chances
        for at, digit in enumerate(digits):
            if digit:
                chances = chances * self.of.tests[at].rows[digit - 1]
        here = standing(self.of, tuple(digits)) if self.of.varies else None
        return Plan(digits, chances, float(chances.sum()), done, free, here)

    def grow(self, starts: Sequence[Plan], floor: float | None = None) -> None:
        """Give each of some sets of answers an order that goes on from it.

        Args:
            starts: where to begin.
            floor: share of all cars below which a belief is not followed further; None: as each start says.
        """
        for plan in starts if floor is not None else ():
            plan.floor = (floor or 0.0) * self._mass
        levels = [list(starts)]
        while levels[-1]:
            levels.append(self._grow(levels[-1]))
        for level in reversed(levels):
            for plan in level:
                _settle(plan)

    def ask(self, plan: Plan, test: int) -> Plan:
        """The same set of answers with a check to do, nothing known of what follows."""
        made = Plan(plan.digits, plan.chances, plan.mass, plan.done, plan.free, plan.here, plan.stop, plan.least)
        self._ask(made, test)
        return made

    def better(self, root: Plan) -> bool:
        """Try another check at some sets of answers where most is at stake; whether any was left to try."""
        found = [plan for plan in _below(root) if len(plan.tried) < len(self._own)]
        found.sort(key=lambda plan: -plan.stake / (1 + len(plan.tried)) ** _AGAIN)
        chosen = [plan for plan in found[: 2 * _TOGETHER] if self._worth(plan, _LEAST * self._mass)][:_TOGETHER]
        if not chosen:
            return False
        trials = []
        for plan, rank in zip(chosen, self.rank(chosen), strict=True):
            rank[list(plan.tried)] = -np.inf
            test = int(rank.argmax())
            if rank[test] > 0.0:
                trials.append((plan, self.ask(plan, test)))
                plan.tried.add(test)
            else:
                plan.tried.update(range(len(rank)))
        for plan, trial in trials:
            for after in trial.after:
                after.floor = max(_LEAST * self._mass, _OF_START * plan.mass)
        self.grow([after for _, trial in trials for after in trial.after])
        for _, trial in trials:
            _settle(trial)
        _take(root, {id(plan): trial for plan, trial in trials})
        return True

    def rank(self, plans: Sequence[Plan]) -> Floats:
        """(plans, tests): how good each check looks; -inf where it may not be done."""
        chances = np.array([plan.chances for plan in plans])
        muddle = self._muddle(chances)
        rows, many = self._rows, len(plans)
        after = np.empty((many, len(rows)))
        step = max(1, _CHUNK // max(1, rows.size))
        for at in range(0, many, step):
            joint = (chances[at : at + step, None, :] * rows).reshape(-1, chances.shape[1])
            after[at : at + step] = self._muddle(joint).reshape(-1, len(rows))
        gain = muddle[:, None] - np.add.reduceat(after, self._starts, axis=1)
        access = np.array([self._opening(plan.done) for plan in plans])
        price = (self._own + _ACCESS * access) * chances.sum(axis=1)[:, None]
        free = np.array([plan.free for plan in plans]) & (gain > 1e-12 * muddle[:, None])
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(free, gain / (price + 1e-9 * muddle[:, None]) ** _POWER, -np.inf)

    def _grow(self, plans: list[Plan]) -> list[Plan]:
        self._stops(plans)
        going = [plan for plan in plans if self._worth(plan, plan.floor)]
        going.sort(key=lambda plan: plan.least - plan.stop)  # so that little is lost where time ends
        made: list[Plan] = []
        batch = _BATCH_ONE_BY_ONE if self.of.varies else _BATCH
        for at in range(0, len(going), batch):
            if not self._go_on():
                break
            some = going[at : at + batch]
            for plan, ranks in zip(some, self.rank(some), strict=True):
                test = int(ranks.argmax())
                if ranks[test] > 0.0:
                    self._ask(plan, test)
                    made += plan.after
        self.many += len(made)
        return made

    def _worth(self, plan: Plan, floor: float) -> bool:
        """Whether any check can pay."""
        if plan.mass < floor or not plan.free.any():
            return False
        price = float(self._own[plan.free].min())
        return plan.stop - plan.least > price * plan.mass * (1 + 1e-9)

    def _ask(self, plan: Plan, test: int) -> None:
        one = self.of.tests[test]
        plan.test, plan.price = test, plan.mass * (one.price + self.of.access(one.behind & ~plan.done))
        plan.tried.add(test)
        plan.after = []
        for place, row in enumerate(one.rows):
            chances = plan.chances * row
            mass = float(chances.sum())
            if mass > 0.0:
                digits = plan.digits[:test] + bytes([place + 1]) + plan.digits[test + 1 :]
                free = plan.free & self._gone[test][place]
                here = None if plan.here is None else answered(plan.here, one.check, one.places[place][0])
                made = Plan(digits, chances, mass, plan.done | one.behind, free, here)
                made.floor = plan.floor
                plan.after.append(made)

    def _stops(self, plans: list[Plan]) -> None:
        if self.of.varies:
            for plan in plans:
                plan.stop = plan.cost = stop_loss(plan.here) if plan.here else 0.0
                plan.least = float(self._bounder.informed(plan.done) @ plan.chances)
            return
        by_done: dict[int, list[Plan]] = {}
        for plan in plans:
            by_done.setdefault(plan.done, []).append(plan)
        for done, some in by_done.items():
            chances = np.array([plan.chances for plan in some]).T
            for plan in some if self._losses.ready(done) is None else ():
                if plan.mass > _HEAVY * self._mass:
                    self._losses.learn(plan.chances, done)
            held = self._losses.held(chances, chances.sum(axis=0), done, [])
            least = self._bounder.informed(done) @ chances
            for plan, stop, known in zip(some, held.tolist(), least.tolist(), strict=True):
                plan.stop = plan.cost = stop
                plan.least = known

    def _opening(self, done: int) -> Floats:
        if done not in self._access:
            self._access[done] = np.array([self.of.access(test.behind & ~done) for test in self.of.tests])
        return self._access[done]

    def _muddle(self, chances: Floats) -> Floats:
        mass = chances.sum(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            found = np.einsum("nf,nf->n", chances @ self._weights, chances) / mass
        return np.where(mass > 0.0, found, 0.0)


def _below(root: Plan) -> Iterator[Plan]:
    """All plans that are followed, each before what follows it."""
    waiting = [root]
    while waiting:
        plan = waiting.pop()
        yield plan
        waiting += plan.after


def _take(root: Plan, trials: Mapping[int, Plan]) -> None:
    """Put cheaper plans in place, from the ends up, and settle what leads to them."""
    for plan in reversed(list(_below(root))):
        _settle(plan)
        trial = trials.get(id(plan))
        if trial is not None and trial.cost < plan.cost:
            plan.test, plan.price, plan.after, plan.cost = trial.test, trial.price, trial.after, trial.cost


def _settle(plan: Plan) -> None:
    """Stop where that costs no more than going on."""
    cost = plan.price + sum(after.cost for after in plan.after) if plan.test >= 0 else plan.stop
    if cost >= plan.stop:
        plan.test, plan.price, plan.after, cost = -1, 0.0, [], plan.stop
    plan.cost = cost


def _weights(of: Compact) -> Floats:
    """(causes, causes): what it costs not to tell two causes apart that are equally likely."""
    many, prices, back = len(of.chances), of.prices, of.come_back
    if of.varies:  # as if going on cost what it costs now
        prices = of.here.work().prices
        onward = {1 << at: price for at, price in enumerate(prices) if at >= len(of.here.case.steps)}
        back = back + np.array([onward.get(repair or 0, 0.0) for repair in of.repairs])

    def cost(steps: int) -> float:
        return sum(prices[at] for at in range(steps.bit_length()) if steps >> at & 1)

    masks = list(dict.fromkeys(repair for repair in of.repairs if repair is not None))
    lost = np.array([[repair is None or bool(repair & ~mask) for repair in of.repairs] for mask in masks]) * back
    lost = lost.reshape(len(masks), many) + np.array([cost(mask) for mask in masks]).reshape(-1, 1)
    least = lost.min(axis=0) if masks else back
    found = np.zeros((many, many))
    for one in range(many):
        for other in range(one):
            both = float((lost[:, one] + lost[:, other]).min()) if masks else 0.0
            first, second = of.repairs[one], of.repairs[other]
            if first is not None and second is not None:
                both = min(both, 2 * cost(first | second))
            found[one, other] = found[other, one] = max(0.0, both - least[one] - least[other])
    return found
