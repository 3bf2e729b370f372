"""Branch and bound against the integer programme on problems of a workshop's size."""

import random

import pytest

from diagtree.scope.integers import Box, IntegerCover, cost, last_tie, rest
from diagtree.scope.search import search
from diagtree.scope.solver import solve


def timing_job(seed: int, parts: int = 30, kits: int = 10) -> IntegerCover:
    """A drawn job: prices in cents, few distinct ones in every third job, so that bills tie."""
    draw = random.Random(seed)
    need = tuple(draw.choice((1, 1, 1, 2, 2, 4, 8)) for _ in range(parts))
    prices = tuple(draw.choice((500, 1000)) if seed % 3 == 0 else draw.randrange(200, 15_000) for _ in range(parts))
    boxes = []
    for _ in range(kits):
        holds = tuple((part, draw.randint(1, need[part])) for part in sorted(draw.sample(range(parts), 8)))
        full = sum(prices[part] * held for part, held in holds)
        boxes.append(Box(full * 4 // 5 if seed % 3 == 0 else int(full * draw.uniform(0.55, 1.0)), holds))
    rank = list(range(parts + kits))
    draw.shuffle(rank)
    return IntegerCover(need, prices, tuple(boxes), tuple(rank))


@pytest.mark.parametrize("seed", range(12))
def test_both_ways_give_the_same_kits_for_30_parts_and_10_kits(seed: int) -> None:
    problem = timing_job(seed)
    found = search(problem, 100_000)
    assert found is not None
    assert solve(problem) == found


@pytest.mark.parametrize("seed", range(40))
def test_no_single_change_of_a_kit_count_is_better(seed: int) -> None:
    problem = timing_job(seed)
    found = search(problem, 100_000)
    assert found is not None
    best = value(problem, found)
    for kit in range(len(found)):
        for count in {found[kit] - 1, found[kit] + 1} - {-1}:
            assert value(problem, (*found[:kit], count, *found[kit + 1 :])) > best


def value(problem: IntegerCover, counts: tuple[int, ...]) -> tuple[object, ...]:
    """What the search minimises, by its definition."""
    used = [rank for rank, many in zip(problem.rank, (*rest(problem, counts), *counts), strict=True) if many]
    return cost(problem, counts), len(used), sorted(used), last_tie(problem, counts)
