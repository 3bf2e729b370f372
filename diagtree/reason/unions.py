"""The least loss of stopping for many beliefs at once, by the sets of access that repairs can share.

What only one repair needs is charged to it. What is left is access: each set of it that some repairs need together is
a column, and a repair may be done within a column that holds its access. Between repairs that share little access the
columns are few, however many the repairs. The best of the columns is the maximum closure (Picard 1976) by trial.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagtree.reason.stopping import Work, grouped
from diagtree.reason.tables import Floats

# Sets of access past which one best scope at a time is quicker.
MOST = 1024
# Products of matrices up to this size wake no threads: waiting for those costs more than they save.
_QUIET = 200_000
# Bits of a machine word, less the sign.
_BITS = 63


@dataclass(frozen=True, slots=True, eq=False)
class Unions:
    """What stopping can cost once certain steps are done. Classes are the causes that one repair mends."""

    lost: Floats  # (causes,): come-back, 0 where what is done mends the cause
    nets: Floats  # (causes, classes): come-back of the causes that a class mends, less what only it needs
    alone: Floats  # (classes,): the access of each
    costs: Floats  # (sets,): of each set of access; the first is empty
    inside: Floats  # (classes, sets): 1 where the set holds the access of the class
    at_once: bool  # whether to repair nothing is a scope

    def losses(self, chances: Floats) -> Floats:
        """The least mean loss.

        Args:
            chances: shape (beliefs, causes), each at least 0, in any scale.

        Returns:
            Shape (beliefs,), in that scale. Exact but for rounding.
        """
        if not self.nets.size:
            return np.asarray(chances @ self.lost, dtype=float)
        some = max(1, _QUIET // self.inside.size)
        parts = [self._losses(chances[at : at + some]) for at in range(0, len(chances), some)]
        return parts[0] if len(parts) == 1 else np.concatenate(parts)

    def _losses(self, chances: Floats) -> Floats:
        total = chances @ self.lost
        mass = chances.sum(axis=1)[:, None]
        nets = chances @ self.nets
        worth = np.maximum(nets, 0.0) @ self.inside
        worth -= mass * self.costs
        best = worth.max(axis=1)
        if not self.at_once:
            stuck = best <= 0.0
            if stuck.any():
                best[stuck] = self._forced(nets[stuck], worth[stuck], mass[stuck])
        return np.asarray(total - best, dtype=float)

    def _forced(self, nets: Floats, worth: Floats, mass: Floats) -> Floats:
        """The best of one or more classes where none pays: one alone, or those that bring something together."""
        alone = (nets - mass * self.alone).max(axis=1)
        some = (nets > 0.0).astype(np.float64) @ self.inside > 0.0
        together = np.where(some, worth, -np.inf).max(axis=1)
        return np.asarray(np.maximum(alone, together), dtype=float)


def unions(work: Work, done: int) -> Unions | None:
    """Prepare for beliefs over the causes of a case; None where there are too many sets of access.

    Args:
        work: prices, repairs and come-backs.
        done: closed set of the steps done.
    """
    left = [None if repair is None else repair & ~done for repair in work.repairs]
    masks = tuple(dict.fromkeys(mask for mask in left if mask))
    groups = [group for group in grouped(work.prices, masks) if group[1] > 0.0]
    own = [sum(cost for mask, cost in groups if mask == 1 << at) for at in range(len(masks))]
    shared = [group for group in groups if group[0] & (group[0] - 1)]
    access = [sum(1 << place for place, (mask, _) in enumerate(shared) if mask >> at & 1) for at in range(len(masks))]
    sets = _joined(access) if len(shared) <= _BITS else None
    if sets is None:
        return None
    prices = np.array([cost for _, cost in shared])
    needs, held = np.array(access, dtype=np.int64), np.array(sets, dtype=np.int64)
    come_back = np.array(work.come_back)
    nets = np.zeros((len(left), len(masks)))
    place = {mask: at for at, mask in enumerate(masks)}
    for cause, mask in enumerate(left):
        if mask:
            nets[cause, place[mask]] = come_back[cause]
    return Unions(
        lost=np.where([mask == 0 for mask in left], 0.0, come_back),
        nets=nets - np.array(own),
        alone=_sums(needs, prices),
        costs=_sums(held, prices),
        inside=np.asarray((needs[:, None] & ~held[None, :]) == 0, dtype=np.float64),
        # Where nothing can be repaired at all only the come-backs are left.
        at_once=any(mask == 0 for mask in left) or not masks,
    )


def _joined(access: Sequence[int]) -> list[int] | None:
    """Every union of these sets, the empty one first; None where they are too many."""
    found = {0: None}
    for one in dict.fromkeys(access):
        found.update(dict.fromkeys(other | one for other in tuple(found)))
        if len(found) > MOST:
            return None
    return list(found)


def _sums(sets: "np.ndarray[tuple[int, ...], np.dtype[np.int64]]", prices: Floats) -> Floats:
    """What each set costs."""
    return np.asarray((sets[:, None] >> np.arange(len(prices)) & 1) @ prices, dtype=float)
