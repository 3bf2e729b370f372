"""How sure a learned share is: the central 95 % of its Beta distribution."""

from math import exp, lgamma, log, log1p, sqrt

# Cars from which the normal distribution of the log odds is as good as exact to a tenth of a per cent.
_MANY = 20_000
_SIDE = 0.025
_NORMAL = 1.959963984540054  # of that side
_TERMS = 5_000
_TINY = 1e-300
_CLOSE = 1e-15


def interval(cars: float, of: float) -> tuple[float, float]:
    """The central 95 % of Beta(cars, of - cars).

    Args:
        cars: counts and the author's share of his, above 0.
        of: all cars, his among them, above `cars`.

    Returns:
        Low and high in [0, 1]; relative error below 1e-3.
    """
    alpha, beta = cars, of - cars
    if min(alpha, beta) > _MANY:
        middle, deviation = log(alpha / beta), sqrt(1 / alpha + 1 / beta)
        return tuple(1 / (1 + exp(-(middle + side * _NORMAL * deviation))) for side in (-1, 1))  # type: ignore[return-value]
    return _quantile(alpha, beta, _SIDE), _quantile(alpha, beta, 1 - _SIDE)


def _quantile(alpha: float, beta: float, share: float) -> float:
    low, high = 0.0, 1.0
    while high - low > 1e-4 * max(low, 1e-12):
        middle = (low + high) / 2
        if middle in {low, high}:
            break
        low, high = (middle, high) if below(alpha, beta, middle) < share else (low, middle)
    return (low + high) / 2


def below(alpha: float, beta: float, at: float) -> float:
    """The regularised incomplete beta function I_at(alpha, beta).

    Source: the continued fraction of DLMF 8.17.22, by Lentz's method, on the side of the mean where it is quick.
    """
    if at <= 0.0 or at >= 1.0:
        return float(at >= 1.0)
    if at > (alpha + 1) / (alpha + beta + 2):
        return 1.0 - below(beta, alpha, 1.0 - at)
    front = alpha * log(at) + beta * log1p(-at) + lgamma(alpha + beta) - lgamma(alpha) - lgamma(beta)
    return exp(front) / alpha * _fraction(alpha, beta, at)


def _fraction(alpha: float, beta: float, at: float) -> float:
    """1 / (1 + d1 / (1 + d2 / ...))."""
    value, upper, lower = 1.0, 1.0, 0.0
    for term in range(_TERMS):
        half = term // 2
        if term == 0:
            factor = 1.0
        elif term % 2:
            factor = -(alpha + half) * (alpha + beta + half) * at / ((alpha + term - 1) * (alpha + term))
        else:
            factor = half * (beta - half) * at / ((alpha + term - 1) * (alpha + term))
        lower = 1.0 / ((1.0 + factor * lower) or _TINY)
        upper = (1.0 + factor / upper) or _TINY
        value *= upper * lower
        if abs(upper * lower - 1.0) < _CLOSE:
            break
    return value - 1.0
