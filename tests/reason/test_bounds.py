"""Bounds stay below the best policy at every belief that can follow, wherever they were made."""

import numpy as np
import pytest

from diagtree.reason import crowding
from diagtree.reason.bounds import Bounder, entropy
from diagtree.reason.compact import compact
from diagtree.reason.levels import solve
from diagtree.reason.standing import start
from tests.reason.cases import of, random_library


@pytest.mark.parametrize("most", [0, 1024])
@pytest.mark.parametrize("seed", range(60))
def test_a_bound_is_below_the_best_cost_of_every_set_of_answers(
    seed: int, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(crowding, "MOST_UNIONS", most)  # 0: scopes by branch and bound instead of a list
    here = start(of(random_library(seed)))
    if not here.mass > 0.0:
        return
    problem = compact(here)
    table = solve(problem)
    assert table is not None
    bounder = Bounder(problem)
    every = np.ones(len(problem.tests))
    known = [bounder.at(problem.chances, 0, every, [mu]) for mu in (2.0, 10.0, 40.0, 150.0)]
    for state in range(len(table.value)):
        chances, left, done, barred = problem.chances, every.copy(), 0, 0
        for at, (stride, radix) in enumerate(zip(problem.strides, problem.radix, strict=True)):
            digit = state // stride % radix
            if digit:
                chances = chances * problem.tests[at].rows[digit - 1]
                left[at] = 0.0
                done |= problem.tests[at].behind
                barred |= problem.forbids[at][digit - 1]
        left[[at for at in range(len(left)) if barred >> at & 1]] = 0.0
        truth = float(table.value[state])
        opened = problem.access(done) * chances.sum()
        for one in known:
            assert one.lower(chances[:, None], left[:, None])[0] - opened <= truth * (1 + 1e-12) + 1e-12
        assert bounder.informed(done) @ chances <= truth * (1 + 1e-12) + 1e-12


def test_entropy_is_that_of_shares_times_the_mass() -> None:
    chances = np.array([[0.25, 0.0, 0.0], [0.25, 0.3, 0.0]])
    assert entropy(chances, chances.sum(axis=0)) == pytest.approx([0.5 * np.log(2), 0.0, 0.0])
