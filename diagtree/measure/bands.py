"""Which band a reading falls in, and how its uncertainty spreads over all of them (JCGM 106:2012)."""

import math
from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from diagtree.model.check import Band, Check
from diagtree.model.engine import Engine

CLEAR = 0.95  # the largest share from which a reading is no longer too close to call
_Z_95 = 1.6448536269514722  # the one-sided 95 % point of the normal distribution (JCGM 106:2012, table 1: 1.645)
_HALVINGS = 50
_ROOT_2 = math.sqrt(2)
_ENDLESS = Band()


def bands_on(check: Check, engine: Engine) -> dict[str, Band]:
    """The band of each answer of a reading, the engine's limits in place of the check's where it has them."""
    moved = engine.limits.get(check.id)
    if moved:
        return {answer.id: moved.get(answer.id, _ENDLESS) for answer in check.answers}
    return {answer.id: answer.band or _ENDLESS for answer in check.answers}


def band_of(value: float, bands: Sequence[Band]) -> int:
    """The place of the band that holds the value: `start` inclusive, `end` exclusive.

    Raises:
        ValueError: no band holds it. Bands that do not tile the line are refused where files are read: our bug.
    """
    for place, band in enumerate(bands):
        if _start(band) <= value < _end(band):
            return place
    message = f"no band holds {value!r}"
    raise ValueError(message)


def band_shares(reading: float, uncertainty: float, limits: Sequence[float]) -> tuple[float, ...]:
    """Probability that the true value lies in each band.

    Args:
        reading: what the gauge shows, finite, in the check's unit.
        uncertainty: expanded uncertainty U (k = 2), same unit, finite, at least 0. At 0 all weight is on one band.
        limits: the n - 1 inner limits, same unit, finite, strictly ascending.

    Returns:
        n numbers in [0, 1] with sum 1. Band i runs from limits[i - 1], inclusive, to limits[i], exclusive.
        Absolute error below 1e-15; a far tail keeps its relative accuracy, unless it is below 1e-300.

    Raises:
        ValueError: an argument out of its range. Files and typed text are checked before: our bug.

    Source: JCGM 106:2012, clause 7, with the density N(reading, (U/2)^2).
    """
    if not (math.isfinite(reading) and math.isfinite(uncertainty) and uncertainty >= 0):
        message = f"no finite reading with an uncertainty of 0 or more: {reading!r}, {uncertainty!r}"
        raise ValueError(message)
    if not all(map(math.isfinite, limits)) or any(low >= high for low, high in pairwise(limits)):
        message = f"inner limits must be finite and ascend: {limits!r}"
        raise ValueError(message)
    if uncertainty == 0:
        held = bisect_right(limits, reading)
        return tuple(float(place == held) for place in range(len(limits) + 1))
    # Twice the distance over U, not over U / 2: half of the smallest U would be 0.
    edges = (-math.inf, *(2 * ((limit - reading) / uncertainty) / _ROOT_2 for limit in limits), math.inf)
    return tuple(_between(low, high) for low, high in pairwise(edges))


def weigh(reading: float, uncertainty: float, bands: Sequence[Band]) -> tuple[float, ...]:
    """`band_shares` for bands in any order, as a check's answers stand: one share for each, in their order."""
    order = sorted(range(len(bands)), key=lambda place: _start(bands[place]))
    shares = band_shares(reading, uncertainty, [_start(bands[place]) for place in order[1:]])
    by_place = dict(zip(order, shares, strict=True))
    return tuple(by_place[place] for place in range(len(bands)))


def clear(shares: Sequence[float]) -> bool:
    """Whether one band holds at least 95 % of the weight. If not, the reading is too close to call."""
    return max(shares) >= CLEAR


def guard_band(uncertainty: float) -> float:
    """The distance from a limit, in the unit of U (k = 2), at which 95 % of the weight lies on one side of it."""
    return _Z_95 / 2 * uncertainty


def clear_spans(uncertainty: float, limits: Sequence[float]) -> tuple[tuple[float, float] | None, ...]:
    """Where a reading of each band is clear: from the first figure to the second, both clear; None where nowhere.

    Arguments and errors as `band_shares`. Relative to U the ends are exact to 1e-9.
    """
    ends = (-math.inf, *limits, math.inf)
    return tuple(_clear_span(uncertainty, limits, place, pair) for place, pair in enumerate(pairwise(ends)))


def _clear_span(
    uncertainty: float, limits: Sequence[float], place: int, ends: tuple[float, float]
) -> tuple[float, float] | None:
    low, high = ends
    away = guard_band(uncertainty)
    if not (math.isfinite(low) and math.isfinite(high)):
        return low + away, high - away
    middle = low + (high - low) / 2
    if band_shares(middle, uncertainty, limits)[place] < CLEAR:
        return None
    outer, inner = low, middle
    for _ in range(_HALVINGS):
        between = (outer + inner) / 2
        if band_shares(between, uncertainty, limits)[place] < CLEAR:
            outer = between
        else:
            inner = between
    return inner, low + (high - inner)


def combine(values: Sequence[float], uncertainty: float) -> tuple[float, float]:
    """The mean of independent repeats and its expanded uncertainty U / sqrt(n), both in the check's unit.

    Raises:
        ValueError: no value, or one that is not finite: our bug.
    """
    if not values or not all(map(math.isfinite, values)):
        message = f"no finite values to combine: {values!r}"
        raise ValueError(message)
    # Exact sum: no overflow on the way, and three readings of 3.1 have the mean 3.1.
    mean = sum(map(Fraction, values), Fraction(0)) / len(values)
    return float(mean), uncertainty / math.sqrt(len(values))


def _start(band: Band) -> float:
    return -math.inf if band.start is None else band.start


def _end(band: Band) -> float:
    return math.inf if band.end is None else band.end


def _between(low: float, high: float) -> float:
    """Weight of N(0, 1/2) between two points, from the tail on their own side, so that small weights stay exact."""
    if low >= 0:
        share = math.erfc(low) - math.erfc(high)
    elif high <= 0:
        share = math.erfc(-high) - math.erfc(-low)
    else:
        share = math.erf(high) - math.erf(low)
    return min(1.0, max(0.0, share / 2))
