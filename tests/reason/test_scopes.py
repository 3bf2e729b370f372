"""The best scopes of many beliefs at once, against every union tried."""

from random import Random

import numpy as np
import pytest

from diagtree.reason.crowding import greatest, losses, reach
from diagtree.reason.scopes import scopes
from diagtree.reason.standing import Standing
from tests.reason.cases import brute_stop, of, random_library


def random_standings(seed: int) -> list[Standing]:
    """One case with some of its access open, and a few beliefs, some causes ruled out."""
    case = of(random_library(seed))
    draw = Random(seed)
    opened = [0, *(check.behind for check in case.checks.values())]
    found = []
    for done in dict.fromkeys(opened):
        for _ in range(4):
            chances = np.array([draw.choice([0.0, draw.random(), 5 * draw.random()]) for _ in case.causes])
            found.append(Standing(case, chances, done))
    return found


@pytest.mark.parametrize("seed", range(80))
def test_losses_are_those_of_the_best_union(seed: int) -> None:
    for here in random_standings(seed):
        case = here.case
        best = scopes(case.prices, case.repairs, (), here.done)
        assert best is not None
        stakes = (here.chances * np.array(case.come_back))[:, None]
        found = best.losses(stakes, np.array([here.mass]))
        assert found[0] == pytest.approx(brute_stop(here), rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("seed", range(80))
@pytest.mark.parametrize("mu", [1.0, 20.0, 300.0])
def test_no_union_reaches_more_than_the_greatest(seed: int, mu: float) -> None:
    """By branch and bound, against the unions listed."""
    case = of(random_library(seed))
    draw = Random(seed)
    come_back = np.array(case.come_back)
    ready = reach(case.prices, case.repairs, (), 0)
    if ready.unions is None or not ready.classes:
        return
    base = np.array([draw.uniform(0, 300) for _ in case.causes])
    listed = max(float(np.exp((base - losses(ready, come_back, union)) / mu).sum()) for union in ready.unions)
    member = np.array(ready.member)
    missed = (base - come_back) / mu
    with np.errstate(divide="ignore"):
        never = np.concatenate([missed[member == -2], (base / mu)[member == -1]])
        always = float(np.log(np.exp(never).sum()))
        mended = np.array([np.log(np.exp((base / mu)[member == at]).sum()) for at in range(len(ready.classes))])
        outside = np.array([np.log(np.exp(missed[member == at]).sum()) for at in range(len(ready.classes))])
    found, _ = greatest(ready, mu, always, mended, outside)
    assert found >= listed * (1 - 1e-12)
    assert found <= listed * (1 + 1e-2)
