"""What stopping costs at the sets of answers that a search meets."""

from collections.abc import Sequence

import numpy as np

from diagtree.reason.compact import Compact
from diagtree.reason.levels import standing, stop_loss
from diagtree.reason.scopes import Scopes, scopes
from diagtree.reason.stopping import Work, best_stop
from diagtree.reason.tables import Floats


class Losses:
    """Best scopes, and scopes that are good enough for a first look."""

    def __init__(self, of: Compact) -> None:
        """Nothing is prepared before it is asked for."""
        self.of = of
        none = (0.0,) * len(of.idle)
        self._work = Work(of.here.case.prices, (*of.repairs, *of.idle), (*of.come_back.tolist(), *none))
        self._scopes: dict[int, Scopes | None] = {}
        self._pool: dict[int, dict[int, Floats]] = {}  # steps done -> steps of a scope -> loss of each cause
        self._tables: dict[int, Floats] = {}

    def stop(self, digits: bytes, chances: Floats, done: int) -> float:
        """The loss of the best scope at a set of answers."""
        if self.of.varies:
            return stop_loss(standing(self.of, digits))
        found = self.ready(done)
        if found is not None:
            return float(found.losses((chances * self.of.come_back)[:, None], np.array([chances.sum()]))[0])
        best = best_stop(self._work, (*chances.tolist(), *(0.0 for _ in self.of.idle)), done)
        assert best is not None  # repairs that cross are repairs
        self._remember(done, best.steps)
        return best.loss

    def held(self, chances: Floats, mass: Floats, done: int, digits: Sequence[bytes]) -> Floats:
        """(beliefs,): the loss of some scope at each, the best where that is quick.

        Args:
            chances: (causes, beliefs).
            mass: (beliefs,): their sums.
            done: closed set of steps, the same for all.
            digits: of each belief, needed where costs depend on the answers.
        """
        if self.of.varies:
            return np.array([stop_loss(standing(self.of, one)) for one in digits])
        found = self.ready(done)
        if found is not None:
            return found.losses(chances * self.of.come_back[:, None], mass)
        return self.rough(chances, done)

    def rough(self, chances: Floats, done: int) -> Floats:
        """(beliefs,): the loss of the best of the scopes remembered at each; costs must not depend on the answers."""
        if done not in self._tables:
            for repair in self._work.repairs:
                if repair is not None:
                    self._remember(done, repair & ~done)
            pool = self._pool.get(done, {0: self.of.come_back})  # nothing can be repaired: the come-backs are left
            self._tables[done] = np.array(list(pool.values()))
        return np.asarray((self._tables[done] @ chances).min(axis=0), dtype=float)

    def learn(self, chances: Floats, done: int) -> None:
        """Remember the best scope at a belief, for others like it."""
        best = best_stop(self._work, (*chances.tolist(), *(0.0 for _ in self.of.idle)), done)
        if best is not None:
            self._remember(done, best.steps)

    def ready(self, done: int) -> Scopes | None:
        """What makes best scopes of many beliefs quick once some steps are done; None where only one at a time is."""
        if done not in self._scopes:
            of = self.of
            self._scopes[done] = scopes(of.here.case.prices, of.repairs, of.idle, done)
        return self._scopes[done]

    def _remember(self, done: int, steps: int) -> None:
        pool = self._pool.setdefault(done, {})
        if steps not in pool:
            gone = steps | done
            lost = np.array([repair is None or bool(repair & ~gone) for repair in self.of.repairs])
            self._tables.pop(done, None)
            pool[steps] = self.of.access(steps & ~done) + np.where(lost, self.of.come_back, 0.0)
