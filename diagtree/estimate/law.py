"""The law of an amount: each value it can take, and how likely it is to be at most that."""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]

# So that a sum of chances that lost its last bits still reaches a percentile: eight times .1 is .8.
REACHED = 1e-9


@dataclass(frozen=True, slots=True)
class Spread:
    """A mean and four percentiles, in the unit of what they are of."""

    mean: float
    p10: float
    p50: float
    p80: float
    p95: float


@dataclass(frozen=True, slots=True, eq=False)
class Law:
    """The law of hours or of money."""

    values: Floats  # (n,), ascending, n at least 1
    cumulative: Floats  # (n,): P(amount <= value), ascending, the last is 1
    mean: float  # exact, whatever the grid

    def percentile(self, reach: float) -> float:
        """The least value whose cumulative probability reaches `reach`, in (0, 1], within 1e-9.

        Type 1 of Hyndman and Fan, Am. Stat. 50 (1996), 361.
        """
        place = int(np.searchsorted(self.cumulative, reach - REACHED))
        return float(self.values[min(place, len(self.values) - 1)])

    def within(self, limit: float) -> float:
        """P(amount <= limit), in [0, 1]. A limit that lost its last bits still holds the value that it was."""
        slack = REACHED * max(1.0, abs(limit))
        place = int(np.searchsorted(self.values, limit + slack, side="right"))
        return float(self.cumulative[place - 1]) if place else 0.0

    @property
    def spread(self) -> Spread:
        """Mean, P10, P50, P80, P95."""
        return Spread(self.mean, *(self.percentile(reach) for reach in (0.1, 0.5, 0.8, 0.95)))


def law(values: Floats, chances: Floats, mean: float | None = None) -> Law:
    """The law of amounts with their chances.

    Args:
        values: (n,), in any order, several may be equal; n at least 1.
        chances: (n,), at least 0, of any sum above 0.
        mean: where it is known better than from the values.
    """
    order = np.argsort(values, kind="stable")
    ordered = values[order]
    total = np.cumsum(chances[order])
    # The same amount by another sum may differ in its last bits: it is one value.
    last = np.append(np.diff(ordered) > REACHED * np.maximum(1.0, np.abs(ordered[1:])), True)
    found = float(np.dot(values, chances)) / float(total[-1]) if mean is None else mean
    return Law(ordered[last], np.minimum(total[last] / total[-1], 1.0), found)
