"""A car with a hidden fault, drawn from the tables.

Every answer is drawn beforehand: whatever is asked, and in whatever order, the same car shows the same.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from random import Random
from typing import Literal, TypeAlias, get_args

import numpy as np

from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.case import Case, case
from diagtree.reason.tables import Tables, tables

Level: TypeAlias = Literal["plain", "usual", "tricky"]
LEVELS: tuple[Level, ...] = get_args(Level)
USUAL: Level = "usual"

# Sets of answers of which the plainest or the trickiest is taken.
_DRAWS = 15


@dataclass(frozen=True, slots=True, eq=False)
class Car:
    """A car in the bay. Which cause it has is hidden from the trainee; the build is not."""

    case: Case
    cause: int  # place among the causes
    answers: Mapping[str, int]  # check -> place of its answer, for each check that applies
    seed: int
    number: int  # from 1: which of the cars of this seed

    @property
    def fault(self) -> str:
        """The cause: a fault, a tree that is gone on to, or `other`."""
        return self.case.causes[self.cause]


@dataclass(frozen=True, eq=False)
class Bay:
    """Where cars with one complaint come in: the tree, the engine, the builds that it may be."""

    library: Library
    tree: Tree
    engine: Engine
    builds: tuple[Build, ...]

    @cached_property
    def known(self) -> Tables:
        """How common each cause is in each build."""
        return tables(self.library, self.tree, self.builds, ())

    def case(self, build: Build) -> Case:
        """The tree on one build, as numbers; made once."""
        if build.id not in self._cases:
            self._cases[build.id] = case(self.library, self.tree, self.engine, build)
        return self._cases[build.id]

    @cached_property
    def _cases(self) -> dict[str, Case]:
        return {}


def draw(bay: Bay, seed: int, number: int = 1, fault: str = "", level: Level = USUAL) -> Car | str:
    """Draw one car.

    Args:
        bay: what may come in. A build is drawn by how often this complaint comes with it.
        seed: with `number` decides everything, the same on every machine.
        number: which of the cars of this seed.
        fault: the cause, where it is not to be drawn.
        level: how misleading the answers are. `usual` is as the tables have it.

    Returns:
        The car, or a sentence: no build of these can have the fault, or no cause has a weight.
    """
    causes, logs = bay.known.causes, bay.known.log_prior
    if fault and fault not in causes:
        return f"The tree '{bay.tree.id}' has no fault '{fault}'. It has: {', '.join(causes)}."
    top = logs.max(initial=-np.inf)
    weights = np.exp(logs - top) if top > -np.inf else np.zeros(logs.shape)
    rows = weights[causes.index(fault)] if fault else weights.sum(axis=0)
    if not rows.any():
        whose = f"'{fault}' can't be" if fault else f"no cause of '{bay.tree.id}' can be"
        return f"{whose[0].upper()}{whose[1:]} in this build."
    chance = Random(f"{seed}/{number}")  # noqa: S311  # practice, no secrets
    of = bay.case(bay.builds[_pick(chance, rows.tolist())])
    cause = of.causes.index(fault) if fault else _pick(chance, of.prior.tolist())
    return Car(of, cause, _answers(of, cause, chance, level), seed, number)


def _answers(of: Case, cause: int, chance: Random, level: Level) -> dict[str, int]:
    drawn = [_one_set(of, cause, chance) for _ in range(1 if level == USUAL else _DRAWS)]
    fits = [_fit(of, cause, answers) for answers in drawn]
    best = max(fits) if level == "plain" else min(fits)
    return drawn[fits.index(best)]


def _one_set(of: Case, cause: int, chance: Random) -> dict[str, int]:
    return {check.id: _pick(chance, check.rows[:, cause].tolist()) for check in of.free}


def _fit(of: Case, cause: int, answers: Mapping[str, int]) -> float:
    """P(cause | all answers): how plainly the car shows what it has."""
    with np.errstate(divide="ignore"):  # log 0 is -inf, and meant
        logs = np.log(of.prior) + sum(np.log(check.rows[answers[check.id]]) for check in of.free)
    weights = np.exp(logs - logs.max())
    return float(weights[cause] / weights.sum())


def _pick(chance: Random, weights: list[float]) -> int:
    sums = list(accumulate(weights))
    point = chance.random() * sums[-1]
    return next(at for at, total in enumerate(sums) if point < total)
