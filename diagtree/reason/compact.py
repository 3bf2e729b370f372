"""A standing boiled down for the search of a best policy: only what can still matter, as arrays.

Checks that tell no two causes apart drop out, answers that say the same are taken together, and so are causes that
no check tells apart and one repair mends. None of it changes the cost of the best policy: a check that says nothing
opens access no cheaper than a repair does.

Where the tree goes on in another one nothing is left out: an answer then weighs in that tree too.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import prod

import numpy as np
from numpy.typing import NDArray

from diagtree.reason.case import Asked
from diagtree.reason.standing import Standing
from diagtree.reason.tables import Floats

Places = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Test:
    """An open check."""

    __test__ = False  # no test of ours: the name is the trade's

    check: Asked
    places: tuple[tuple[int, ...], ...]  # of each answer kept: the check's own answers that it stands for
    rows: Floats  # (answers kept, causes kept): P(answer | cause)
    price: float  # its own, money
    behind: int  # closed set of steps, without those done


@dataclass(frozen=True, slots=True, eq=False)
class Compact:
    """What is left to decide at a standing."""

    here: Standing
    chances: Floats  # (causes,), each above 0
    come_back: Floats  # (causes,), money
    repairs: tuple[int | None, ...]  # of each cause kept, without the steps done
    idle: tuple[int, ...]  # repairs of causes that are ruled out, which may still be what is repaired
    tests: tuple[Test, ...]  # in file order
    forbids: tuple[tuple[int, ...], ...]  # test, answer -> the tests ruled out by it, a bit each
    varies: bool  # going on in another tree: what a scope costs depends on the answers

    @property
    def radix(self) -> tuple[int, ...]:
        """Of each test: its answers, and one for not asked."""
        return tuple(len(test.rows) + 1 for test in self.tests)

    @property
    def strides(self) -> tuple[int, ...]:
        """Of each test: what its digit counts in the number of a set of answers."""
        return tuple(prod(self.radix[at + 1 :]) for at in range(len(self.tests)))

    @property
    def prices(self) -> tuple[float, ...]:
        """Of each step; of going on in a tree 0, which is never too much."""
        return (*self.here.case.prices, *(0.0 for _ in self.here.case.onward))

    def access(self, behind: int) -> float:
        """What opening these steps costs."""
        return self.here.case.cost(behind)


def compact(here: Standing, keep: Iterable[str] = ()) -> Compact:
    """Boil a standing down.

    Args:
        here: its chances sum to more than 0.
        keep: checks to hold although they may say nothing.
    """
    varies = bool(here.case.onward)
    kept = frozenset(keep)
    live = np.nonzero(here.chances > 0.0)[0]
    asked = [
        check for check in here.open_checks() if varies or check.id in kept or not _says_nothing(check.rows[:, live])
    ]
    answers = [_answers(asked, check, live, varies) for check in asked]
    groups = _alike(here, asked, live, varies)
    first = [group[0] for group in groups]
    dead = np.nonzero(~(here.chances > 0.0))[0]
    repairs = here.case.repairs
    chances = np.array([here.chances[group].sum() for group in groups])
    come_back = np.array([here.chances[group] @ np.array(here.case.come_back)[group] for group in groups]) / chances
    return Compact(
        here=here,
        chances=chances,
        come_back=come_back,
        repairs=tuple(_left(repairs[at], here.done) for at in first),
        idle=tuple(left for at in dead if (left := _left(repairs[at], here.done)) is not None),
        tests=tuple(
            Test(
                check,
                places,
                np.array([check.rows[list(place)][:, first].sum(axis=0) for place in places]),
                check.price,
                check.behind & ~here.done,
            )
            for check, places in zip(asked, answers, strict=True)
        ),
        forbids=tuple(
            tuple(_forbidden(asked, check, place[0]) for place in places)
            for check, places in zip(asked, answers, strict=True)
        ),
        varies=varies,
    )


def _left(repair: int | None, done: int) -> int | None:
    return None if repair is None else repair & ~done


def _says_nothing(rows: Floats) -> bool:
    return bool((rows == rows[:, :1]).all())


def _forbidden(asked: list[Asked], check: Asked, place: int) -> int:
    answer = check.answers[place]
    return sum(1 << at for at, other in enumerate(asked) if answer in other.never_after.get(check.id, ()))


def _answers(asked: list[Asked], check: Asked, live: Places, varies: bool) -> tuple[tuple[int, ...], ...]:
    """The answers that can come, those together that leave the same chances and forbid the same."""
    groups: dict[object, list[int]] = {}
    for place, row in enumerate(check.rows[:, live]):
        if not row.any():
            continue
        shape = place if varies else ((row / row.max()).tobytes(), _forbidden(asked, check, place))
        groups.setdefault(shape, []).append(place)
    return tuple(tuple(group) for group in groups.values())


def _alike(here: Standing, asked: list[Asked], live: Places, varies: bool) -> list[list[int]]:
    """The causes that can be told apart or need another repair; those together that cannot and do not."""
    groups: dict[object, list[int]] = {}
    for at in live.tolist():
        shape = at if varies else (here.case.repairs[at], *(check.rows[:, at].tobytes() for check in asked))
        groups.setdefault(shape, []).append(at)
    return list(groups.values())
