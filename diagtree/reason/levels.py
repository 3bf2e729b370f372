"""The best policy for every set of answers at once: a dynamic programme from all checks asked down to none.

A set of answers is a number in mixed radix, a digit a check: 0 not asked, else the place of its answer. Exact but for
rounding, for as many sets as memory holds.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import prod

import numpy as np
from numpy.typing import NDArray

from diagtree.reason.compact import Compact
from diagtree.reason.scopes import scopes
from diagtree.reason.standing import Standing, answered
from diagtree.reason.tables import Flags, Floats

Places = NDArray[np.intp]

# Sets of answers that fit: some 40 bytes each.
MOST_STATES = 16_000_000
# Beliefs worked on together: their numbers stay in the cache.
_CHUNK = 1 << 17


@dataclass(frozen=True, slots=True, eq=False)
class Levels:
    """The least cost from every set of answers, times the chance of these answers."""

    of: Compact
    mass: Floats  # (sets,)
    stop: Floats  # (sets,): the loss of the best scope now
    value: Floats  # (sets,)

    def moves(self, state: int = 0) -> dict[str | None, float]:
        """What each first move costs from a set of answers: None stops; checks that may be done, in file order."""
        digits = [state // stride % radix for stride, radix in zip(self.of.strides, self.of.radix, strict=True)]
        done, ruled_out = 0, 0
        for at, digit in enumerate(digits):
            if digit:
                done |= self.of.tests[at].behind
                ruled_out |= self.of.forbids[at][digit - 1]
        found: dict[str | None, float] = {None: float(self.stop[state])}
        for at, test in enumerate(self.of.tests):
            if not digits[at] and not ruled_out >> at & 1:
                price = test.price + self.of.access(test.behind & ~done)
                after = sum(self.value[state + self.of.strides[at] * place] for place in range(1, self.of.radix[at]))
                found[test.check.id] = float(price * self.mass[state] + after)
        return found


def states(of: Compact) -> int:
    """How many sets of answers there are."""
    return prod(of.radix)


def solve(of: Compact) -> Levels | None:
    """The whole table; None where repairs cross too much for it."""
    opened = _opened(of)
    mass, stop = np.empty(states(of)), np.empty(states(of))
    if not _fill(of, opened, mass, stop):
        return None
    value = stop.copy()
    for level in reversed(_by_level(of.radix)[:-1]):
        _lower(of, opened, level, mass, value)
    return Levels(of, mass, stop, value)


@dataclass(frozen=True, slots=True, eq=False)
class _Opened:
    """What the checks asked have opened: each distinct set of steps once."""

    sets: tuple[int, ...]
    more: NDArray[np.uint16]  # (tests, sets): the set after another test
    of_state: NDArray[np.uint16]  # (states,), or (1,) where nothing is ever opened


def _opened(of: Compact) -> _Opened:
    sets = [0]
    for behind in dict.fromkeys(test.behind for test in of.tests):
        sets = list(dict.fromkeys((*sets, *(mask | behind for mask in sets))))
    place = {mask: at for at, mask in enumerate(sets)}
    more = np.array([[place[mask | test.behind] for mask in sets] for test in of.tests], dtype=np.uint16)
    ids = np.zeros(1, dtype=np.uint16)
    if len(sets) > 1:
        for at in reversed(range(len(of.tests))):
            ids = np.concatenate([ids, *([more[at][ids]] * len(of.tests[at].rows))])
    return _Opened(tuple(sets), more.reshape(len(of.tests), len(sets)), ids)


def _fill(of: Compact, opened: _Opened, mass: Floats, stop: Floats) -> bool:
    """The chance of every set of answers, and the loss of stopping there."""
    if of.varies:
        _fill_one_by_one(of, mass, stop)
        return True
    found = [scopes(of.here.case.prices, of.repairs, of.idle, steps) for steps in opened.sets]
    if any(one is None for one in found):
        return False
    for start, chances in _chunks(of):
        here = slice(start, start + chances.shape[1])
        mass[here] = chances.sum(axis=0)
        stakes = chances * of.come_back[:, None]
        for at, best in enumerate(found):
            assert best is not None
            if len(found) == 1:
                stop[here] = best.losses(stakes, mass[here])
                continue
            chosen = np.nonzero(opened.of_state[here] == at)[0]
            if len(chosen):
                stop[start + chosen] = best.losses(stakes.take(chosen, axis=1), mass[start + chosen])
    return True


def _chunks(of: Compact) -> Iterator[tuple[int, Floats]]:
    """The chances of all sets of answers: where a chunk starts, and shape (causes, sets of the chunk)."""
    split = len(of.tests)
    size = 1
    while split and size * of.radix[split - 1] * len(of.chances) <= _CHUNK:
        split -= 1
        size *= of.radix[split]
    # P(answers of the later tests | cause), the same for each chunk.
    later = np.ones((len(of.chances), 1))
    for test in reversed(of.tests[split:]):
        later = np.concatenate([later, *(later * row[:, None] for row in test.rows)], axis=1)
    for number, digits in enumerate(product(*(range(radix) for radix in of.radix[:split]))):
        first = of.chances
        for test, digit in zip(of.tests, digits, strict=False):
            first = first * test.rows[digit - 1] if digit else first
        yield number * size, later * first[:, None]


def _fill_one_by_one(of: Compact, mass: Floats, stop: Floats) -> None:
    for state, digits in enumerate(product(*(range(radix) for radix in of.radix))):
        here = standing(of, digits)
        mass[state] = here.mass
        stop[state] = stop_loss(here)


def standing(of: Compact, digits: Sequence[int]) -> Standing:
    """After these answers, where no two answers are taken together."""
    here = of.here
    for test, digit in zip(of.tests, digits, strict=True):
        if digit:
            here = answered(here, test.check, test.places[digit - 1][0])
    return here


def stop_loss(here: Standing) -> float:
    """The loss of the best scope now; without any repair to choose, of the come-backs."""
    found = here.stop() if here.mass > 0.0 else None
    if found is not None:
        return found.loss
    return float(here.chances @ np.array(here.work().come_back)) if here.mass > 0.0 else 0.0


@lru_cache(maxsize=4)
def _by_level(radix: tuple[int, ...]) -> tuple[Places, ...]:
    """The sets of answers by how many checks have one."""
    count = np.zeros(1, dtype=np.uint8)
    for many in reversed(radix):
        count = np.concatenate([count, *([count + np.uint8(1)] * (many - 1))])
    order = np.argsort(count, kind="stable")
    return tuple(np.split(order, np.cumsum(np.bincount(count, minlength=len(radix) + 1))[:-1]))


def _lower(of: Compact, opened: _Opened, level: Places, mass: Floats, value: Floats) -> None:
    """One level: the least of stopping and of each check that has no answer yet."""
    for at, test in enumerate(of.tests):
        stride = of.strides[at]
        here = level[_may_ask(of, at, level)]
        price = _prices(of, opened, at)
        cost = mass[here] * (price[opened.of_state[here]] if len(price) > 1 else price[0])
        for place in range(1, len(test.rows) + 1):
            cost += value[here + place * stride]
        value[here] = np.minimum(value[here], cost)


def _prices(of: Compact, opened: _Opened, at: int) -> Floats:
    """Of a test, once each set of steps is open."""
    test = of.tests[at]
    return np.array([test.price + of.access(test.behind & ~steps) for steps in opened.sets])


def _may_ask(of: Compact, at: int, level: Places) -> Flags:
    strides = of.strides
    allowed = level // strides[at] % of.radix[at] == 0
    for other, answers in enumerate(of.forbids):
        for place, ruled_out in enumerate(answers, start=1):
            if ruled_out >> at & 1:
                allowed &= level // strides[other] % of.radix[other] != place
    return np.asarray(allowed, dtype=np.bool_)
