from fractions import Fraction
from itertools import product
from typing import Any
from unittest.mock import patch

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from diagtree.scope import cover as module
from diagtree.scope.cover import Cover, cover
from diagtree.scope.integers import IntegerCover
from diagtree.scope.integers import cost as cost_of
from diagtree.scope.scaling import Bundle
from diagtree.scope.search import search
from diagtree.scope.solver import solve

Problem = tuple[list[Fraction], list[Fraction], list[Bundle], list[str], frozenset[int]]


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Up to 4 parts and 3 kits. Few different prices, so that ties are common; some parts are measured."""
    parts = draw(st.integers(0, 4))
    divisible = frozenset(part for part in range(parts) if draw(st.integers(0, 3)) == 0)
    prices = st.sampled_from(
        [Fraction(0), Fraction(1), Fraction(2), Fraction("0.1"), Fraction("0.3"), Fraction("2.95")]
    )
    need = [Fraction(draw(st.integers(0, 8)), 2 if part in divisible else 1) for part in range(parts)]
    kits = []
    for _ in range(draw(st.integers(0, 3))):
        holds = {part: Fraction(draw(st.integers(1, 3))) for part in range(parts) if draw(st.booleans())}
        kits.append(Bundle(draw(prices) * draw(st.integers(1, 3)), holds))
    numbers = draw(st.permutations([f"N{place}" for place in range(parts + len(kits))]))
    return need, [draw(prices) for _ in range(parts)], kits, list(numbers), divisible


def key(problem: Problem, singles: list[Fraction], counts: tuple[int, ...]) -> tuple[Any, ...]:
    """What makes one purchase better than another, least first."""
    _, prices, kits, numbers, _ = problem
    cost = sum((price * count for price, count in zip(prices, singles, strict=True)), Fraction(0))
    cost += sum((kit.price * count for kit, count in zip(kits, counts, strict=True)), Fraction(0))
    pieces = list(zip(numbers, [*singles, *counts], [*prices, *(None for _ in kits)], strict=True))
    lines = sorted(number for number, count, _ in pieces if count)
    free = sum(count for kit, count in zip(kits, counts, strict=True) if not kit.price)
    deciding = sorted((number, -count) for number, count, price in pieces if price != 0)
    return cost, len(lines), lines, free, [count for _, count in deciding]


def by_trying_all(problem: Problem) -> tuple[Any, ...]:
    need, _, kits, _, _ = problem
    best = None
    most = [max((-(-need[p] // held) for p, held in kit.holds.items()), default=0) for kit in kits]
    for counts in product(*(range(int(limit) + 1) for limit in most)):
        held = [
            sum((kit.holds.get(p, 0) * n for kit, n in zip(kits, counts, strict=True)), Fraction(0))
            for p in range(len(need))
        ]
        singles = [max(Fraction(0), more - has) for more, has in zip(need, held, strict=True)]
        found = key(problem, singles, counts)
        best = found if best is None or found < best else best
    assert best is not None
    return best


def covered(problem: Problem, found: Cover) -> bool:
    need, _, kits, _, _ = problem
    for part, more in enumerate(need):
        boxed = sum((kit.holds.get(part, 0) * n for kit, n in zip(kits, found.kits, strict=True)), Fraction(0))
        if boxed + found.singles[part] < more:
            return False
    return True


@settings(max_examples=300)
@given(problems())
def test_a_cover_covers_and_none_is_better_by_cost_lines_and_numbers(problem: Problem) -> None:
    need, prices, kits, numbers, divisible = problem
    found = cover(need, prices, kits, numbers=numbers, divisible=divisible)
    assert found is not None
    assert covered(problem, found)
    best = by_trying_all(problem)
    assert key(problem, list(found.singles), found.kits) == best
    assert found.cost == best[0]


@settings(max_examples=60, deadline=None)
@given(problems())
def test_the_integer_programme_finds_the_same_cover(problem: Problem) -> None:
    need, prices, kits, numbers, divisible = problem
    assume(any(need))  # a programme without columns has no optimum to speak of
    by_search = cover(need, prices, kits, numbers=numbers, divisible=divisible)
    with patch.object(module, "NODES", 0), patch.object(module, "search", _only_unlimited):
        assert cover(need, prices, kits, numbers=numbers, divisible=divisible) == by_search


def _only_unlimited(problem: IntegerCover, limit: int) -> tuple[int, ...] | None:
    assert limit == 0, "the integer programme left it to the search"
    return search(problem, limit)


@given(problems())
def test_the_order_of_parts_and_kits_does_not_matter(problem: Problem) -> None:
    need, prices, kits, numbers, divisible = problem
    parts = len(need)
    found = cover(need, prices, kits, numbers=numbers, divisible=divisible)
    turned = cover(
        need[::-1],
        prices[::-1],
        [Bundle(one.price, {parts - 1 - part: held for part, held in one.holds.items()}) for one in reversed(kits)],
        numbers=[*reversed(numbers[:parts]), *reversed(numbers[parts:])],
        divisible=frozenset(parts - 1 - part for part in divisible),
    )
    assert found is not None
    assert turned is not None
    assert (turned.singles[::-1], turned.kits[::-1], turned.cost) == (found.singles, found.kits, found.cost)


def test_nothing_needed_is_nothing_bought() -> None:
    assert cover([], [], []) == Cover((), (), Fraction(0))
    assert cover([0], [5], [Bundle(1, {0: 1})]) == Cover((Fraction(0),), (0,), Fraction(0))


def test_a_part_that_nothing_holds_cannot_be_covered() -> None:
    assert cover([1], [None], []) is None
    assert cover([1, 1], [None, 3], [Bundle(1, {1: 1})]) is None


def test_a_kit_with_a_surplus_wins_where_it_is_cheaper() -> None:
    assert cover([1, 1], [60, 50], [Bundle(100, {0: 1, 1: 4})]) == Cover((Fraction(0),) * 2, (1,), Fraction(100))


def test_measured_parts_are_made_up_to_the_decimal_and_counted_ones_to_the_piece() -> None:
    found = cover([Fraction("7.5")], [Fraction("9.95")], [Bundle(40, {0: 5})], divisible=frozenset({0}))
    assert found == Cover((Fraction("2.5"),), (1,), Fraction("64.875"))
    assert cover([Fraction("1.5")], [2], []) == Cover((Fraction(2),), (), Fraction(4))


def test_of_equal_bills_over_equal_numbers_the_earlier_number_is_taken_more_often() -> None:
    kits = [Bundle(2, {0: 1, 1: 1}), Bundle(2, {0: 1, 1: 1, 2: 1})]
    found = cover([3, 3, 1], [None, None, None], kits, numbers=["p", "q", "r", "a", "b"])
    assert found is not None
    assert found.kits == (0, 3)  # one line is fewer than two
    kits = [Bundle(2, {0: 1, 1: 1, 3: 1}), Bundle(2, {0: 1, 1: 1, 2: 1})]
    found = cover([3, 3, 1, 1], [None] * 4, kits, numbers=["p", "q", "r", "s", "b", "a"])
    assert found is not None
    assert found.kits == (1, 2)


def test_a_search_that_is_cut_short_says_so() -> None:
    problem = IntegerCover(need=(1,), prices=(5,), boxes=(), rank=(0,))
    assert search(problem, 0) is None
    assert search(problem, 1) == ()


def test_bills_beyond_what_floats_hold_are_left_to_the_search() -> None:
    assert solve(IntegerCover(need=(1,), prices=(2**60,), boxes=(), rank=(0,))) is None
    found = cover([1], [Fraction(2**60 + 1, 3)], [])
    assert found is not None
    assert found.cost == Fraction(2**60 + 1, 3)


def test_the_solver_writes_nothing_to_any_stream(capfd: pytest.CaptureFixture[str]) -> None:
    problem = IntegerCover(need=(2, 1), prices=(5, 5), boxes=(), rank=(0, 1))
    counts = solve(problem)
    assert counts is not None
    assert cost_of(problem, counts) == 15
    assert capfd.readouterr() == ("", "")


def test_a_hard_problem_of_many_equal_kits_ends_with_a_certified_cover() -> None:
    """40 kits of one price, 5 of 40 parts each: far more ties than a search can walk through."""
    kits = [Bundle(1, {(7 * kit + step * (1 + kit % 5)) % 40: 1 for step in range(5)}) for kit in range(40)]
    found = cover([1] * 40, [1] * 40, kits)
    assert found is not None
    held = {part for kit, count in zip(kits, found.kits, strict=True) if count for part in kit.holds}
    assert all(found.singles[part] == (part not in held) for part in range(40))
    assert found.cost == sum(found.kits) + sum(found.singles) >= 8
