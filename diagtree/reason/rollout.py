"""Good policies quickly: many beliefs at once, each going on with the check that looks best by a simple estimate.

The estimate of what follows an answer prices what is still not known: a nat of doubt at a fixed price, as the
information bound does, or the best scope now where that is less. What the policies cost is added up as they are
followed, so it is a cost that is reached.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diagtree.reason.bounds import Bounder, Dual, entropy
from diagtree.reason.compact import Compact
from diagtree.reason.losses import Losses
from diagtree.reason.tables import Flags, Floats

# Beliefs that this share of all cars never reaches are not followed further.
_LEAST = 3e-5
# Beliefs looked at together, and of how many in each round the best scope is worked out.
_BATCH = 48
_SHARP = 16


@dataclass(frozen=True, slots=True, eq=False)
class Front:
    """Beliefs to go on from. `source` says which start each came from."""

    chances: Floats  # (causes, beliefs)
    done: tuple[int, ...]  # (beliefs,)
    free: Flags  # (beliefs, tests)
    source: NDArray[np.intp]  # (beliefs,)

    def some(self, places: NDArray[np.intp]) -> "Front":
        """A part of it."""
        done = tuple(self.done[at] for at in places.tolist())
        return Front(self.chances[:, places], done, self.free[places], self.source[places])


class Rollout:
    """Policies by an estimate."""

    def __init__(self, of: Compact, losses: Losses, bounder: Bounder) -> None:
        """Lay the rows of all tests side by side, those of one access together."""
        self.of, self._losses, self._bounder = of, losses, bounder
        self._groups = [
            (behind, [at for at, test in enumerate(of.tests) if test.behind == behind])
            for behind in dict.fromkeys(test.behind for test in of.tests)
        ]

    def first(self, start: Front, dual: Dual) -> int:
        """The test that looks best at one belief."""
        return int(self._looks(start, start.chances.sum(axis=0), dual)[0][0])

    def asked(self, start: Front, at: int) -> list[Front]:
        """After each answer of a test at one belief."""
        return self._ask(start, np.zeros(1, dtype=np.intp), at)

    def costs(self, starts: Sequence[Sequence[Front]], dual: Dual, go_on: Callable[[], bool]) -> Floats:
        """(starts,): what following the estimate costs from each start, times its chance; all stops once told to."""
        flat = [front for group in starts for front in group]
        front = _joined([replace(one, source=np.array([at])) for at, one in enumerate(flat)])
        total = np.zeros(len(flat))
        while len(front.done):
            parts = []
            for begin in range(0, len(front.done), _BATCH):
                parts += self._advance(
                    front.some(np.arange(begin, min(begin + _BATCH, len(front.done)))), dual, go_on, total
                )
            if not parts:
                break
            front = _joined(parts)
        return total

    def _advance(self, part: Front, dual: Dual, go_on: Callable[[], bool], total: Floats) -> list[Front]:
        """Stop, or ask what looks best; what that costs is added to the total of each start."""
        mass = part.chances.sum(axis=0)
        stop = self._stops(part, mass)
        ends = mass < _LEAST * float(self.of.chances.sum())
        move = np.zeros(len(mass), dtype=np.intp)
        if go_on():
            move, value = self._looks(part, mass, dual)
            ends |= value >= stop
        else:
            ends[:] = True
        np.add.at(total, part.source[ends], stop[ends])
        made = []
        for at in sorted(set(move[~ends].tolist())):  # np.unique would load masked arrays
            here = np.nonzero((move == at) & ~ends)[0]
            behind = self.of.tests[at].behind
            price = [self.of.tests[at].price + self.of.access(behind & ~part.done[one]) for one in here.tolist()]
            np.add.at(total, part.source[here], mass[here] * np.array(price))
            made += self._ask(part, here, at)
        return made

    def _ask(self, part: Front, here: NDArray[np.intp], at: int) -> list[Front]:
        test = self.of.tests[at]
        made = []
        done = tuple(part.done[one] | test.behind for one in here.tolist())
        for place, row in enumerate(test.rows):
            gone = self.of.forbids[at][place] | 1 << at
            free = part.free[here].copy()
            free[:, [other for other in range(free.shape[1]) if gone >> other & 1]] = False
            made.append(Front(part.chances[:, here] * row[:, None], done, free, part.source[here]))
        return made

    def _stops(self, part: Front, mass: Floats) -> Floats:
        found = np.empty(len(mass))
        heavy = set(np.argsort(-mass, kind="stable")[:_SHARP].tolist())
        for done in dict.fromkeys(part.done):
            here = np.array([at for at, steps in enumerate(part.done) if steps == done], dtype=np.intp)
            for at in here.tolist():
                if at in heavy and mass[at] > 1e-3 * float(self.of.chances.sum()):
                    self._losses.learn(part.chances[:, at], done)
            found[here] = self._losses.rough(part.chances[:, here], done)
        return found

    def _looks(self, part: Front, mass: Floats, dual: Dual) -> tuple[NDArray[np.intp], Floats]:
        """The test of least estimate at each belief, and that estimate."""
        best = np.full(len(mass), np.inf)
        move = np.zeros(len(mass), dtype=np.intp)
        for done in dict.fromkeys(part.done):
            here = np.array([at for at, steps in enumerate(part.done) if steps == done], dtype=np.intp)
            for behind, tests in self._groups:
                for at in tests:
                    self._look(part, here, at, done | behind, mass, dual, best, move)
        return move, best

    def _look(  # noqa: PLR0913, PLR0917
        self,
        part: Front,
        here: NDArray[np.intp],
        at: int,
        after: int,
        mass: Floats,
        dual: Dual,
        best: Floats,
        move: NDArray[np.intp],
    ) -> None:
        free = here[part.free[here, at]]
        if not len(free):
            return
        test = self.of.tests[at]
        price = test.price + self.of.access(after & ~part.done[free[0]])
        chances = (part.chances[:, free, None] * test.rows.T[:, None, :]).reshape(len(part.chances), -1)
        value = self._estimate(chances, after, dual).reshape(len(free), -1).sum(axis=1) + price * mass[free]
        better = value < best[free]
        best[free[better]] = value[better]
        move[free[better]] = at

    def _estimate(self, chances: Floats, done: int, dual: Dual) -> Floats:
        mass = chances.sum(axis=0)
        doubt = dual.mu * entropy(chances, mass) + dual.base @ chances - self.of.access(done) * mass
        doubt = np.maximum(doubt, self._bounder.informed(done) @ chances)
        return np.asarray(np.minimum(doubt, self._losses.rough(chances, done)), dtype=float)


def _joined(parts: Sequence[Front]) -> Front:
    return Front(
        np.concatenate([part.chances for part in parts], axis=1),
        tuple(done for part in parts for done in part.done),
        np.concatenate([part.free for part in parts]),
        np.concatenate([part.source for part in parts]),
    )
