"""Maximum closure: against brute force and against networkx's minimum cut."""

from itertools import product
from typing import Any

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.reason.closures import best_closure

# No crumbs: the reference raises where a capacity is too small to be told from nothing.
NUMBER = st.one_of(st.integers(0, 8).map(float), st.floats(1e-3, 100))


@st.composite
def problems(draw: st.DrawFn, most: int = 7) -> tuple[list[float], list[tuple[int, float]]]:
    gains = draw(st.lists(NUMBER, min_size=1, max_size=most))
    masks = st.integers(1, (1 << len(gains)) - 1)
    return gains, draw(st.lists(st.tuples(masks, NUMBER), max_size=10))


def worth(gains: list[float], groups: list[tuple[int, float]], chosen: int) -> float:
    gained = sum(gain for at, gain in enumerate(gains) if chosen >> at & 1)
    return gained - sum(cost for mask, cost in groups if mask & chosen)


@given(problems())
def test_no_set_is_better_and_the_value_is_that_of_the_set(
    problem: tuple[list[float], list[tuple[int, float]]],
) -> None:
    gains, groups = problem
    value, chosen = best_closure(gains, groups)
    best = max(worth(gains, groups, one) for one in range(1 << len(gains)))
    assert value == pytest.approx(best, abs=1e-9)
    assert worth(gains, groups, chosen) == pytest.approx(best, abs=1e-9)


@given(problems(most=25))
def test_a_minimum_cut_of_networkx_agrees(problem: tuple[list[float], list[tuple[int, float]]]) -> None:
    gains, groups = problem
    graph: nx.DiGraph[Any] = nx.DiGraph()
    graph.add_nodes_from(["gains", "costs"])
    for at, gain in enumerate(gains):
        graph.add_edge("gains", at, capacity=gain)
    for place, (mask, cost) in enumerate(groups):
        graph.add_edge(("group", place), "costs", capacity=cost)
        for at in range(len(gains)):
            if mask >> at & 1:
                graph.add_edge(at, ("group", place))  # without a capacity: networkx reads it as infinite, as meant
    cut, _ = nx.minimum_cut(graph, "gains", "costs")
    value, chosen = best_closure(gains, groups)
    assert value == pytest.approx(sum(gains) - cut, abs=1e-7)
    assert worth(gains, groups, chosen) == pytest.approx(value, abs=1e-7)


def test_nothing_is_taken_that_brings_nothing() -> None:
    assert best_closure([0.0, 1.0], [(1, 0.0), (2, 1.0)]) == (0.0, 0)


def test_two_that_pay_only_together_are_both_taken() -> None:
    assert best_closure([3.0, 3.0], [(0b11, 5.0)]) == (1.0, 0b11)


def test_every_small_problem_of_whole_numbers() -> None:
    for gains in product(range(4), repeat=3):
        groups = [(0b011, 2.0), (0b110, 1.0), (0b111, 1.0), (0b100, 1.0)]
        value, _ = best_closure([float(gain) for gain in gains], groups)
        assert value == max(worth([float(gain) for gain in gains], groups, one) for one in range(8))
