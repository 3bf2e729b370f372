"""The mean of readings that scatter, and how sure it is: JCGM 100 (the GUM), clauses 4.2 and G.3."""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Whole: TypeAlias = NDArray[np.int64]

# What k = 2 covers of a normal distribution: JCGM 100, table G.2 has a column for it, so that U / 2 stays a standard
# uncertainty where there are many readings.
COVERED = 0.9545
_SERIES = 40  # degrees of freedom from which the expansion is exact to seven digits
_RARE = 3.09  # deviations: the scatter of groups counts as more than chance once in a thousand


@dataclass(frozen=True, slots=True)
class Mean:
    """A mean with its standard uncertainty and the degrees of freedom behind that (endless: known outright)."""

    value: float
    deviation: float  # standard uncertainty of the mean, same unit
    freedom: float
    uneven: bool = False  # whether the groups scatter by more than chance, and their scatter was taken


def coverage_factor(freedom: float) -> float:
    """By how much to multiply a standard uncertainty so that 95.45 in 100 such intervals hold the true value.

    Student's t. Relative error below 1e-6. `freedom` at least 1; fractions of a degree are cut off, as clause G.4.1
    does.
    """
    return _factor(0 if freedom > 1e6 else math.floor(freedom))


def freedom_of(*parts: Mean) -> float:
    """The effective degrees of freedom of the sum of independent means (Welch and Satterthwaite, clause G.4.1)."""
    whole = math.fsum(part.deviation**2 for part in parts)
    used = math.fsum(part.deviation**4 / part.freedom for part in parts if part.deviation > 0)
    return whole * whole / used if used > 0 else math.inf


def pooled(values: Floats, groups: Whole, cycles: Whole, known: float = 0.0) -> Mean:
    """The mean of readings of several teeth, each read once in many cycles.

    The scatter is that of each tooth about its own mean. Where the teeth's means differ by more than that explains, or
    the cycles' means do, readings of one tooth (one cycle) do not count as independent of each other: the scatter of
    those means is taken instead.

    Args:
        values: shape (n,), readings that would all be equal but for scatter.
        groups: shape (n,), the tooth of each, 0 to J - 1, each at least once; n > J.
        cycles: shape (n,), the cycle of each.
        known: the variance of what each tooth is compared with, which its mean scatters by beside its own.
    """
    within, freedom = _within(values, groups)
    found = Mean(float(np.mean(values)), math.sqrt(within / len(values)), float(freedom))
    for names, beside in ((groups, known), (cycles, 0.0)):
        means, counts = _means(values, names)
        if len(means) > 2 and _surpasses(means, within * float(np.mean(1 / counts)) + beside, freedom):
            deviation = float(np.std(means, ddof=1)) / math.sqrt(len(means))
            if deviation > found.deviation:
                found = Mean(found.value, deviation, len(means) - 1.0, uneven=True)
    return found


def _within(values: Floats, groups: Whole) -> tuple[float, int]:
    """The variance of the readings about their groups' means, and its degrees of freedom."""
    means, counts = _means(values, groups)
    _, place = np.unique(groups, return_inverse=True)
    freedom = len(values) - len(counts)
    return float(np.sum((values - means[place]) ** 2)) / freedom, freedom


def _means(values: Floats, groups: Whole) -> tuple[Floats, Floats]:
    _, place = np.unique(groups, return_inverse=True)
    counts = np.bincount(place).astype(np.float64)
    return np.bincount(place, weights=values) / counts, counts


def _surpasses(means: Floats, expected: float, freedom: int) -> bool:
    """Whether means scatter by more than their expected variance, once in a thousand times by chance.

    Paulson's approximation of the F distribution (Ann. Math. Stat. 13, 1942; from memory).
    """
    between = float(np.var(means, ddof=1))
    if between <= expected:
        return False
    if expected == 0:
        return between > 1e-18  # rounding is no scatter
    ratio = (between / expected) ** (1 / 3)
    a, b = 2 / (9 * (len(means) - 1)), 2 / (9 * freedom)
    return float((1 - b) * ratio - (1 - a)) / math.sqrt(b * ratio * ratio + a) > _RARE


@lru_cache(maxsize=64)
def _factor(freedom: int) -> float:
    """Student's t at `COVERED`, two-sided; 0 degrees stand for endless ones."""
    z = 2.0000024438996027  # of the normal distribution, for COVERED
    if freedom == 0:
        return z
    if freedom >= _SERIES:  # Abramowitz and Stegun, 26.7.5
        terms = (
            z,
            (z**3 + z) / 4,
            (5 * z**5 + 16 * z**3 + 3 * z) / 96,
            (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
        )
        return math.fsum(term / freedom**power for power, term in enumerate(terms))
    low, high = 0.0, 20.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if _inside(middle, freedom) < COVERED else (low, middle)
    return high


def _inside(t: float, freedom: int) -> float:
    """How much of Student's t lies within -t and t (Abramowitz and Stegun, 26.7.3 and 26.7.4)."""
    angle = math.atan(t / math.sqrt(freedom))
    cosine, term, total = math.cos(angle), 1.0, 0.0
    odd = freedom % 2
    if odd and freedom > 1:
        term = cosine
    for power in range(odd, freedom - 1, 2):
        total += term
        term *= (power + 1) / (power + 2) * cosine * cosine
    if odd:
        return 2 / math.pi * (angle + math.sin(angle) * total)
    return math.sin(angle) * total
