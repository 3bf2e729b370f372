"""Normal densities and the truncated normal, in logarithms: nothing over- or underflows, however far the tail."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

_LOG_ROOT_TAU = math.log(math.tau) / 2
_HALVINGS = 60  # of a stretch of weight, down to the last bit
_PANELS, _NODES = 8, 24  # a panel's rule is exact for polynomials up to degree 47
_NEGLIGIBLE = 45.0  # exp of minus this adds nothing to a double
_NINE = math.sqrt(2 * _NEGLIGIBLE)  # deviations from a mode that hold all there is


def log_density(distance: float, deviation: float) -> float:
    """Logarithm of the density of N(0, deviation^2) at this distance from its mean; -inf past what a double holds."""
    scaled = distance / deviation
    return -_LOG_ROOT_TAU - math.log(deviation) - scaled * scaled / 2


def log_sum(logs: Iterable[float]) -> float:
    """Logarithm of the sum of exp(logs); -inf of nothing."""
    terms = list(logs)
    top = max(terms, default=-math.inf)
    return top if top == -math.inf else top + math.log(math.fsum(math.exp(term - top) for term in terms))


@dataclass(frozen=True, slots=True)
class Truncated:
    """N(centre, deviation^2) between `low` and `high`, all finite, low < high.

    Each figure is a ratio of integrals of exp(-s t - t^2 / 2) over t, the distance in deviations from the end that the
    mass leans on. A difference of two tails would lose its digits where the centre lies far outside.
    """

    centre: float
    deviation: float
    low: float
    high: float

    def log_share(self) -> float:
        """Logarithm of how much of the whole normal distribution lies between the two. Relative error below 1e-13."""
        return _log_mass(self._start, self._width)

    def mean(self) -> float:
        """The mean. Relative error below 1e-13."""
        start, width = self._start, self._width
        return self._at(_moment(start, width, 1) / _moment(start, width, 0))

    def quantile(self, share: float) -> float:
        """The value below which this share of it lies, 0 < share < 1."""
        return self._at(_quantile(self._start, self._width, 1 - share if self._leans_high else share))

    @property
    def _leans_high(self) -> bool:
        return self.centre > self.low + (self.high - self.low) / 2

    @property
    def _start(self) -> float:
        """Where the nearer end lies, in deviations from the centre, the interval stretching upwards from it."""
        nearer = self.centre - self.high if self._leans_high else self.low - self.centre
        return nearer / self.deviation

    @property
    def _width(self) -> float:
        return (self.high - self.low) / self.deviation

    def _at(self, distance: float) -> float:
        """The value at a distance in deviations from the nearer end."""
        away = min(self.deviation * distance, self.high - self.low)
        return self.high - away if self._leans_high else self.low + away


def _log_mass(start: float, width: float) -> float:
    """Logarithm of the weight of a standard normal from `start` over `width`."""
    peak = start + _top(start, width)
    return -_LOG_ROOT_TAU - peak * peak / 2 + math.log(_moment(start, width, 0))


def _quantile(start: float, width: float, share: float) -> float:
    """How far past `start` this share of the weight over `width` lies."""
    top = _top(start, width)
    whole, peak = _moment(start, width, 0), start + top
    first, last = _span(start, width)
    low, high = top + first, top + last
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        here = start + _top(start, middle)
        below = _moment(start, middle, 0) / whole * math.exp((peak - here) * (peak + here) / 2)
        low, high = (middle, high) if below < share else (low, middle)
    return high


def _moment(start: float, width: float, power: int) -> float:
    """Integral over t from 0 to width of t^power exp(-start t - t^2 / 2), over its integrand's peak without t^power.

    By Gauss and Legendre, over what has weight, measured from the peak: there no exponent is large.
    """
    top = _top(start, width)
    slope = start + top
    first, last = _span(start, width)
    panel = (last - first) / _PANELS
    return panel * math.fsum(
        weight * (top + d) ** power * math.exp(-d * (slope + d / 2))
        for at in range(_PANELS)
        for place, weight in _legendre()
        for d in (first + panel * (at + place),)
    )


def _span(start: float, width: float) -> tuple[float, float]:
    """Where there is weight, measured from the peak."""
    top = _top(start, width)
    slope = start + top
    span = _NINE * (_NINE / (abs(slope) + math.hypot(slope, _NINE)))  # the root of |slope| d + d^2 / 2 = const
    return (-min(top, span) if slope <= 0 else 0.0), (min(width - top, span) if slope >= 0 else 0.0)


def _top(start: float, width: float) -> float:
    """Where between 0 and `width` past `start` a standard normal is largest."""
    return min(max(0.0, -start), width)


@lru_cache(maxsize=1)
def _legendre() -> tuple[tuple[float, float], ...]:
    """Nodes in (0, 1) and weights of sum 1 of Gauss and Legendre's rule: roots of P_n by Newton's steps."""
    found = []
    for at in range(1, _NODES + 1):
        x = math.cos(math.pi * (at - 0.25) / (_NODES + 0.5))
        for _ in range(8):
            value, slope = _polynomial(x)
            x -= value / slope
        slope = _polynomial(x)[1]
        found.append(((1 + x) / 2, 1 / ((1 - x * x) * slope * slope)))
    return tuple(found)


def _polynomial(x: float) -> tuple[float, float]:
    """Legendre's polynomial of degree `_NODES` and its slope."""
    before, value = 1.0, x
    for n in range(2, _NODES + 1):
        before, value = value, ((2 * n - 1) * x * value - (n - 1) * before) / n
    return value, _NODES * (x * value - before) / (x * x - 1)
