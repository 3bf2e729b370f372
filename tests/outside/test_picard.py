"""Picard 1976, Management Science 22:1268: the maximal closure of his graph, recomputed by brute force."""

from itertools import chain, combinations

import pytest

from diagtree.reason.closures import best_closure

pytestmark = pytest.mark.outside

WEIGHTS = (3, 2, -1, 2, 1, -4, -2, 1, -1, 1, 2, 2)
NEEDS = {0: {4, 6}, 1: {2, 5, 6}, 2: {6, 7}, 3: {7}, 4: {8}, 5: {4, 9}, 6: {10, 11}, 7: {11}, 8: {9}}
BEST = {0, 3, 4, 6, 7, 8, 9, 10, 11}


def closed(wanted: set[int]) -> set[int]:
    """What is wanted, and all that it needs."""
    found: set[int] = set()
    waiting = list(wanted)
    while waiting:
        vertex = waiting.pop()
        if vertex not in found:
            found.add(vertex)
            waiting.extend(NEEDS.get(vertex, ()))
    return found


def test_the_maximal_closure() -> None:
    """Vertices that bring something are the classes; each that costs is a group of those that need it."""
    bringing = [vertex for vertex, weight in enumerate(WEIGHTS) if weight > 0]
    groups = [
        (sum(1 << at for at, vertex in enumerate(bringing) if cost in closed({vertex})), float(-weight))
        for cost, weight in enumerate(WEIGHTS)
        if weight < 0
    ]
    value, chosen = best_closure([float(WEIGHTS[vertex]) for vertex in bringing], groups)
    assert value == 9
    assert closed({vertex for at, vertex in enumerate(bringing) if chosen >> at & 1}) == BEST


def test_the_graph_has_79_closures_and_one_best() -> None:
    every = chain.from_iterable(combinations(range(12), many) for many in range(13))
    closures = [set(one) for one in every if closed(set(one)) == set(one)]
    assert len(closures) == 79
    values = sorted((sum(WEIGHTS[vertex] for vertex in one) for one in closures), reverse=True)
    assert values[:8] == [9, 8, 8, 8, 7, 7, 7, 6]
