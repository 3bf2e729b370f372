"""Lower bounds on the cost of the best policy, for many beliefs at once.

Perfect information: who knew the cause would pay no more than its own cheapest scope.

Information: checks must earn, in what they tell, what the scopes then need to know. Let F be the cause and S the
scope in which a policy ends. In nats, H(F) = H(F | all that was seen) + the sum of what each check told. For any price
mu of a nat and any numbers b with sum over f of exp((b_f - loss_S(f)) / mu) <= 1 for every scope S, the loss of
stopping at a belief q is at least mu * H(q) + b.q (Gibbs). What a check tells is at most the sum over f of
q_f * KL(row of f || r) for the causes q with which it is asked, whatever r, as a check's answers depend on the cause
alone; so what it earns beyond its price is at most S_c = sum over f of p_f * max(0, mu * KL(row of f || r) - price).
Together: cost >= mu * H(p) + b.p - sum over the checks left of S_c. The best b at a belief is that of the
rate-distortion function (Blahut 1972, Arimoto 1972); any b with the constraint met holds at every belief. Access is
counted once: in the scopes, which hold what was opened. mu = 0 is perfect information.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from diagtree.reason.compact import Compact
from diagtree.reason.crowding import Reach, costs, greatest, losses, reach
from diagtree.reason.tables import Floats

# Taken off every bound, as a share of the numbers that go into it: rounding never lifts a bound over the truth.
SLACK = 1e-12
_SLACK_OF_NATS = 1e-9
_ROUNDS = 12
_STEPS = 60
_GUESSES = 4
_TINY = 1e-6
_KEPT = 2
# Prices of a nat to begin with, as shares of what the car costs at least.
_SHARES = (0.01, 0.02, 0.04, 0.08, 0.15, 0.3)


@dataclass(frozen=True, slots=True, eq=False)
class Dual:
    """One price of a nat, with numbers that hold at every belief from the steps done on."""

    mu: float  # money
    base: Floats  # (causes,): b
    earned: Floats  # (causes, tests * guesses): what a test earns at most, for guesses of r
    scale: float  # the largest number among them


@dataclass(frozen=True, slots=True, eq=False)
class Bounds:
    """What holds at a standing, once `done` is open and some checks have no answer yet."""

    done: int
    duals: tuple[Dual, ...]

    def lower(self, chances: Floats, left: Floats) -> Floats:
        """A bound below the cost of the best policy.

        Args:
            chances: (causes, beliefs), any scale.
            left: (tests, beliefs): 1 where a check may still be asked, else 0.

        Returns:
            (beliefs,), in that scale.
        """
        mass = chances.sum(axis=0)
        best = np.zeros(len(mass))
        doubt = entropy(chances, mass)
        for dual in self.duals:
            earned = (dual.earned.T @ chances).reshape(len(left), _GUESSES, len(mass)).min(axis=1)
            found = dual.mu * doubt + dual.base @ chances - (earned * left).sum(axis=0)
            np.fmax(best, found - SLACK * dual.scale * mass, out=best)
        return best


def entropy(chances: Floats, mass: Floats) -> Floats:
    """(beliefs,): the doubt about the cause in nats, times the chance of the belief."""
    with np.errstate(divide="ignore", invalid="ignore"):
        shares = chances / mass
        return np.asarray(mass * -np.where(shares > 0.0, shares * np.log(shares), 0.0).sum(axis=0), dtype=float)


class Bounder:
    """Makes bounds for one problem."""

    def __init__(self, of: Compact) -> None:
        """Lay the rows of all tests side by side."""
        self.of = of
        many = max((len(test.rows) for test in of.tests), default=1)
        self.rows = np.zeros((len(of.tests), many, len(of.chances)))
        for at, test in enumerate(of.tests):
            self.rows[at, : len(test.rows)] = test.rows
        self.real = np.array([[place < len(test.rows) for place in range(many)] for test in of.tests]).reshape(-1, many)
        with np.errstate(divide="ignore", invalid="ignore"):
            self.sure = np.where(self.rows > 0.0, self.rows * np.log(self.rows), 0.0).sum(axis=1)  # (tests, causes)
        self.price = np.array([test.price for test in of.tests])[:, None]
        self._reach: dict[int, Reach] = {}
        self._informed: dict[int, Floats] = {}

    def reach(self, done: int) -> Reach:
        """The repairs once some steps are done."""
        if done not in self._reach:
            self._reach[done] = reach(self.of.prices, self.of.repairs, self.of.idle, done)
        return self._reach[done]

    def informed(self, done: int) -> Floats:
        """(causes,): what each cause costs at least where it is known."""
        if done not in self._informed:
            self._informed[done] = _informed(self.reach(done), self.of.come_back)
        return self._informed[done]

    def at(self, chances: Floats, done: int, left: Floats, prices: Iterable[float]) -> Bounds:
        """Bounds that are good near one belief, and hold at all that can follow it.

        Args:
            chances: (causes,), each at least 0, some above.
            done: steps opened since the problem's standing.
            left: (tests,): 1 where a check may still be asked, else 0.
            prices: of a nat, each above 0; the two best are kept.
        """
        made = [Bounds(done, (self._dual(chances, done, mu),)) for mu in prices]
        column, left = chances[:, None], left[:, None]
        made.sort(key=lambda one: -float(one.lower(column, left)[0]))
        return Bounds(done, tuple(dual for one in made[:_KEPT] for dual in one.duals))

    def first(self, chances: Floats, done: int, left: Floats) -> Bounds:
        """Bounds at a belief of which nothing is known."""
        scale = float(self.informed(done) @ chances) / float(chances.sum()) + 1e-6
        coarse = self.at(chances, done, left, [scale * share for share in _SHARES])
        best = coarse.duals[0].mu
        return self.at(chances, done, left, [best * share for share in (0.75, 0.87, 1.0, 1.15, 1.33)])

    def _dual(self, chances: Floats, done: int, mu: float) -> Dual:
        base = _base(self.reach(done), self.of.come_back, chances, mu)
        earned = self._earned(chances, mu)
        scale = (
            mu * np.log(len(chances) + 1.0)
            + float(np.abs(base).max())
            + float(earned.max(initial=0.0)) * len(self.rows)
        )
        return Dual(mu, base, earned, scale)

    def _earned(self, chances: Floats, mu: float) -> Floats:
        """(causes, tests * guesses): what a test earns at most beyond its price, for guesses of its mean answer.

        The best guess is the mean answer of the causes that the test can be worth asking for, found again and again.
        """
        shares = chances / chances.sum()
        mean = self.rows @ shares
        guess = 0.5 * mean + 0.5 * self.rows.mean(axis=2)
        found = []
        for _ in range(_GUESSES):
            sure = np.where(self.real, guess * (1 - _TINY) + _TINY, 1.0)
            sure /= np.where(self.real, sure, 0.0).sum(axis=1, keepdims=True)
            told = self.sure - np.einsum("tac,ta->tc", self.rows, np.where(self.real, np.log(sure), 0.0))
            gain = np.maximum(mu * told - self.price, 0.0)
            found.append(gain)
            active = shares * (gain > 0.0)
            weight = active.sum(axis=1, keepdims=True)
            target = np.where(weight > 0, np.einsum("tac,tc->ta", self.rows, active) / np.maximum(weight, 1e-300), mean)
            guess = 0.5 * guess + 0.5 * target
        return np.ascontiguousarray(np.array(found).transpose(2, 1, 0).reshape(len(chances), -1))


def _informed(found: Reach, come_back: Floats) -> Floats:
    own = np.array([0.0 if at == -1 else np.inf if at == -2 else costs(found, 1 << at) for at in found.member])
    return np.asarray(np.minimum(own, come_back + found.least) * (1.0 - SLACK), dtype=float)


def _base(found: Reach, come_back: Floats, chances: Floats, mu: float) -> Floats:
    """Good numbers b, then lowered until the constraint is certain."""
    shares = np.maximum(chances / chances.sum(), 1e-9)
    shares /= shares.sum()
    unions = list(found.unions) if found.unions is not None else [1 << at for at in range(len(found.classes))]
    table = np.array([losses(found, come_back, union) for union in unions])
    weights = np.full(len(unions), 1.0 / len(unions))
    for _ in range(1 if found.unions is not None else _ROUNDS):
        least = table.min(axis=0)
        odds = np.exp((least - table) / mu)
        # Whatever the weights, b holds once the constraint is seen to; none is let go to 0.
        weights = np.maximum(_blahut(odds, shares, weights, _STEPS if found.unions is None else 4 * _STEPS), 1e-9)
        base = least + mu * np.log(shares / (weights @ odds))
        if found.unions is not None:
            crowd = float(np.exp((base - table) / mu).sum(axis=1).max())
            return np.asarray(base - mu * (np.log(crowd) + _SLACK_OF_NATS), dtype=float)
        crowd, near = _crowd(found, come_back, base, mu)
        fresh = [union for union in near if union not in unions]
        if crowd <= 1.0 + 1e-3 or not fresh:
            break
        unions += fresh
        table = np.concatenate([table, [losses(found, come_back, union) for union in fresh]])
        weights = np.concatenate([weights, np.full(len(fresh), 1.0 / len(unions))])
        weights /= weights.sum()
    return np.asarray(base - mu * (np.log(crowd) + _SLACK_OF_NATS), dtype=float)


def _blahut(odds: Floats, shares: Floats, weights: Floats, steps: int) -> Floats:
    """How often each union should be the scope."""
    for _ in range(steps):
        weights = weights * (odds @ (shares / (weights @ odds)))
        weights = weights / weights.sum()
    return weights


def _crowd(found: Reach, come_back: Floats, base: Floats, mu: float) -> tuple[float, list[int]]:
    """The greatest sum over causes of exp((b - loss of a scope) / mu), from above."""
    member = np.array(found.member)
    missed = (base - come_back) / mu
    never = np.concatenate([missed[member == -2], (base / mu)[member == -1]])
    inside = np.array([_log_sum((base / mu)[member == at]) for at in range(len(found.classes))])
    outside = np.array([_log_sum(missed[member == at]) for at in range(len(found.classes))])
    return greatest(found, mu, _log_sum(never), inside, outside)


def _log_sum(logs: Floats) -> float:
    top = float(logs.max(initial=-np.inf))
    return top if top == -np.inf else top + float(np.log(np.exp(logs - top).sum()))
