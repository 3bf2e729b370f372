"""What a customer reads: the shop's extras, its tax once on the total, figures rounded up."""

from math import ceil

import numpy as np

from diagtree.estimate.law import Floats
from diagtree.model.library import Extra, Shop

_LOST = 1e-9  # a figure that is on a step but for its last bits stays there


def extras(shop: Shop, labour: Floats, parts: Floats) -> list[Floats]:
    """Each of the shop's extras, in order. Money before tax; shapes (n,)."""
    return [_extra(extra, labour, parts) for extra in shop.extras]


def _extra(extra: Extra, labour: Floats, parts: Floats) -> Floats:
    base = {"labour": labour, "parts": parts, "both": labour + parts}[extra.of]
    charge = base * (extra.per_cent / 100)
    return charge if extra.limit is None else np.minimum(charge, extra.limit)


def net(shop: Shop, labour: Floats, parts: Floats) -> Floats:
    """Labour, parts and extras together, before tax; shape (n,)."""
    total = labour + parts
    for charge in extras(shop, labour, parts):
        total = total + charge
    return np.asarray(total, dtype=np.float64)


def taxed(shop: Shop, amount: float) -> float:
    """An amount with tax."""
    return amount * (1 + shop.tax / 100)


def round_up(shop: Shop, amount: float) -> float:
    """An amount as a customer reads it: up to the shop's step, to the cent where it has none. Never less."""
    step = shop.round_to or 0.01
    steps = ceil(amount / step - _LOST)
    return round(steps * step, 2) if step >= 0.01 else steps * step  # a step finer than a cent stays as it is
