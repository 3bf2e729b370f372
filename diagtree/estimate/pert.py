"""Three-point hours as a Beta-PERT variable: its cells on a grid."""

from collections.abc import Sequence
from math import ceil, exp, lgamma

import numpy as np

from diagtree.estimate.law import Floats
from diagtree.model.quantity import Hours

_TERMS = 30  # of the continued fraction: with alpha + beta = 6 it is settled by then to the last bits
_TINY = 1e-300
_WHOLE = 1e-9  # so that 0.3 h of a grid of 0.1 h is three cells, not four


def shape(hours: Hours) -> tuple[float, float]:
    """Alpha and beta of three-point hours that are not all equal: 1 + 4(m - a)/(b - a) and 1 + 4(b - m)/(b - a)."""
    span = hours.pessimistic - hours.optimistic
    alpha = 1 + 4 * (hours.likely - hours.optimistic) / span
    return alpha, 6 - alpha


def beta_cdf(alpha: float | Floats, beta: float | Floats, at: Floats) -> Floats:
    """The regularised incomplete beta function I_x(alpha, beta).

    Args:
        alpha: at least 1, with `beta` 6 in all; one for all, or (n,).
        beta: at least 1; the same.
        at: (n,), each in [0, 1].

    Returns:
        Shape (n,), in [0, 1]. Absolute error below 1e-14.

    Source: the continued fraction of DLMF 8.17.22, by Lentz's method, on the side of the mean where it is quick.
    """
    alphas, betas = np.broadcast_to(alpha, len(at)), np.broadcast_to(beta, len(at))
    low = at <= (alphas + 1) / (alphas + betas + 2)
    # The tail that is asked for, of the one law or of its mirror image: one pass for both.
    tail = _tail(np.where(low, alphas, betas), np.where(low, betas, alphas), np.where(low, at, 1.0 - at))
    return np.clip(np.where(low, tail, 1.0 - tail), 0.0, 1.0)


def _tail(alpha: Floats, beta: Floats, at: Floats) -> Floats:
    kinds, which = np.unique(alpha, return_inverse=True)
    scales = [exp(lgamma(6.0) - lgamma(one) - lgamma(6.0 - one)) / one for one in kinds.tolist()]
    front: Floats = np.array(scales)[which] * at**alpha * (1.0 - at) ** beta
    return np.asarray(front * _fraction(alpha, beta, at), dtype=np.float64)


def _fraction(alpha: Floats, beta: Floats, at: Floats) -> Floats:
    """1 / (1 + d1 / (1 + d2 / ...)), from its last term upwards."""
    value = np.ones(len(at))
    for term in range(_TERMS, 0, -1):
        half = term // 2
        if term % 2:
            factor = -(alpha + half) * (alpha + beta + half) / ((alpha + term - 1) * (alpha + term))
        else:
            factor = half * (beta - half) / ((alpha + term - 1) * (alpha + term))
        below = 1.0 + factor * at / value
        value = below
    return np.asarray(1.0 / value, dtype=np.float64)


def cells(every: Sequence[Hours], grid: float) -> list[Floats]:
    """The chances of the hours beyond the optimistic ones, on a grid, for several variables at once.

    Args:
        every: three points each, not all equal.
        grid: hours from one cell to the next, above 0.

    Returns:
        For each, shape (n,), sum 1: of `optimistic + k * grid`. Each is the beta probability of the cell around that
        value, then shifted by the least part of a cell so that the mean is (a + 4m + b) / 6 to 1e-12. The variance is
        too large by at most a quarter of a cell squared.
    """
    spans = [hours.pessimistic - hours.optimistic for hours in every]
    edges = [np.minimum((np.arange(max(1, ceil(span / grid - _WHOLE))) + 0.5) * (grid / span), 1.0) for span in spans]
    if not edges:
        return []
    long = [len(one) for one in edges]
    alphas, betas = (np.repeat(side, long) for side in zip(*(shape(hours) for hours in every), strict=True))
    below = np.split(beta_cdf(alphas, betas, np.concatenate(edges)), np.cumsum(long)[:-1])
    return [_cells(hours, grid, reached) for hours, reached in zip(every, below, strict=True)]


def _cells(hours: Hours, grid: float, reached: Floats) -> Floats:
    """Of one variable, from the chances of being below the edge after each cell but the last."""
    chances = np.diff(reached, prepend=0.0, append=1.0)
    there = float(np.arange(len(chances)) @ chances)
    return _centred(chances, (hours.mean - hours.optimistic) / grid - there)


def _centred(chances: Floats, off: float) -> Floats:
    """The same, moved by `off` cells in the mean: a part of each cell goes to its neighbour on that side."""
    moved = chances.copy()
    if off > 0:
        part = chances[:-1] * min(1.0, off / max(_TINY, 1.0 - float(chances[-1])))
        moved[:-1] -= part
        moved[1:] += part
    elif off < 0:
        part = chances[1:] * min(1.0, -off / max(_TINY, 1.0 - float(chances[0])))
        moved[1:] -= part
        moved[:-1] += part
    return moved
