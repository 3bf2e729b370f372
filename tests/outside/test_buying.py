"""Published cover problems, without a part that is sold singly.

Crew scheduling: Hillier & Lieberman, Introduction to Operations Research, the airline's twelve sequences of flights
(costs and matrix from the source; optimum from memory, verified here by trying every choice). Post office: Winston,
Operations Research, the staff of seven days (inputs from the source; optimum recomputed). Greedy trap: Vazirani,
Approximation Algorithms, 2001, example 2.5 of section 2.1 (from memory).
"""

from fractions import Fraction
from itertools import combinations, product

import pytest

from diagtree.scope.cover import cover
from diagtree.scope.scaling import Bundle

pytestmark = pytest.mark.outside

COSTS = (2, 3, 4, 6, 7, 5, 7, 8, 9, 9, 8, 9)
FLIGHTS = (
    {1, 4, 7, 10},
    {2, 5, 8, 11},
    {3, 6, 9, 12},
    {4, 7, 9, 10, 12},
    {1, 6, 10, 11},
    {4, 5, 9},
    {7, 8, 10, 11, 12},
    {2, 4, 5, 9},
    {5, 8, 11},
    {3, 7, 8, 12},
    {6, 9, 10, 11, 12},
)
SEQUENCES = [
    Bundle(price, {flight: 1 for flight, flown in enumerate(FLIGHTS) if sequence in flown})
    for sequence, price in enumerate(COSTS, 1)
]
STAFF = (17, 13, 15, 19, 14, 16, 11)
SHIFTS = [Bundle(1, {(start + day) % 7: 1 for day in range(5)}) for start in range(7)]


def chosen(kits: tuple[int, ...]) -> set[int]:
    return {number for number, count in enumerate(kits, 1) if count}


def test_crews_cost_18_and_the_tie_goes_to_the_smaller_numbers() -> None:
    found = cover([1] * 11, [None] * 11, SEQUENCES)
    assert found is not None
    assert found.cost == 18
    assert chosen(found.kits) == {1, 5, 12}


def test_crews_with_other_numbers_give_the_other_of_the_two_optima() -> None:
    numbers = [*(f"F{flight:02}" for flight in range(11)), *(f"S{20 - n:02}" for n in range(1, 13))]
    found = cover([1] * 11, [None] * 11, SEQUENCES, numbers=numbers)
    assert found is not None
    # Backwards, {12, 5, 1} still begins with the first number of all, 12.
    assert chosen(found.kits) == {1, 5, 12}
    numbers[11 + 3] = "A"  # sequence 4 is ordered first
    found = cover([1] * 11, [None] * 11, SEQUENCES, numbers=numbers)
    assert found is not None
    assert chosen(found.kits) == {3, 4, 11}


def test_the_optima_of_the_crews_are_the_two_that_are_published() -> None:
    """A check of the table as typed: every choice of up to four sequences."""
    by_cost: dict[int, list[set[int]]] = {}
    for size in range(1, 5):
        for picked in combinations(range(1, 13), size):
            if all(flown & set(picked) for flown in FLIGHTS):
                by_cost.setdefault(sum(COSTS[n - 1] for n in picked), []).append(set(picked))
    assert by_cost[min(by_cost)] == [{1, 5, 12}, {3, 4, 11}]
    assert sorted(by_cost)[:2] == [18, 19]


def test_the_post_office_needs_23_on_four_shifts() -> None:
    found = cover(STAFF, [None] * 7, SHIFTS)
    assert found is not None
    assert found.cost == 23
    assert len(chosen(found.kits)) == 4
    for day, needed in enumerate(STAFF):
        assert sum(found.kits[(day - back) % 7] for back in range(5)) >= needed


def test_the_choice_among_the_383_optima_of_the_post_office_is_by_lines_then_numbers_then_counts() -> None:
    optima = [
        counts
        for counts in _shares(23, 7)
        if all(sum(counts[(day - back) % 7] for back in range(5)) >= needed for day, needed in enumerate(STAFF))
    ]
    assert len(optima) == 383
    best = min(optima, key=lambda counts: (len(chosen(counts)), sorted(chosen(counts)), [-n for n in counts]))
    found = cover(STAFF, [None] * 7, SHIFTS)
    assert found is not None
    assert found.kits == best


def test_greed_would_pay_2_93_for_what_costs_1_01() -> None:
    singles = [Fraction(1, place) for place in range(1, 11)]
    everything = Bundle(Fraction("1.01"), dict.fromkeys(range(10), 1))
    found = cover([1] * 10, singles, [everything])
    assert found is not None
    assert found.cost == Fraction("1.01")
    assert float(sum(singles)) == pytest.approx(2.928968, abs=5e-7)


def _shares(total: int, of: int) -> list[tuple[int, ...]]:
    """Every way to share `total` among `of`, none above 19 as no day needs more."""
    found = []
    for first in product(range(20), repeat=of - 4):
        left = total - sum(first)
        if left >= 0:
            found += [(*first, *rest) for rest in _shares_of(left, 4)]
    return found


def _shares_of(total: int, of: int) -> list[tuple[int, ...]]:
    if of == 1:
        return [(total,)]
    return [(first, *rest) for first in range(total + 1) for rest in _shares_of(total - first, of - 1)]
