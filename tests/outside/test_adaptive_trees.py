"""Published sequences of tests that find a state: their best trees, and the bounds below any tree."""

from collections.abc import Mapping
from heapq import heapify, heappop, heappush
from itertools import combinations
from math import log2

import pytest

from diagtree.reason import policy
from diagtree.reason.policy import best, first_moves
from diagtree.reason.standing import Standing, answered
from tests.reason.cases import check, plain

pytestmark = pytest.mark.outside

# Pattipati and Alexandridis 1990, IEEE Trans. Syst. Man Cybern. 20(4); from memory, 2.18 reproduced.
STATES = {"s0": 70.0, "s1": 1.0, "s2": 2.0, "s3": 10.0, "s4": 5.0, "s5": 12.0}
FIRES = {"s0": "00000", "s1": "01001", "s2": "00110", "s3": "10011", "s4": "11000", "s5": "11110"}
# Cormen, Leiserson, Rivest and Stein, Introduction to Algorithms, 16.3, with the last two letters as one; from memory.
LETTERS = {"a": 45.0, "b": 13.0, "c": 12.0, "d": 16.0, "ef": 14.0}


def six_states() -> Standing:
    rows = [{state: (float(row[at]), 1 - float(row[at])) for state, row in FIRES.items()} for at in range(5)]
    checks = [check(f"t{at + 1}", 1, row) for at, row in enumerate(rows)]
    return plain(STATES, dict.fromkeys(STATES, 100), checks, goodwill=1000)


def all_splits(weights: Mapping[str, float]) -> Standing:
    first, *rest = weights
    checks = []
    for many in range(len(rest)):
        for others in combinations(rest, many):
            inside = {first, *others}
            rows = {name: (1.0, 0.0) if name in inside else (0.0, 1.0) for name in weights}
            checks.append(check("-".join(("is", first, *others)), 1, rows))
    return plain(weights, dict.fromkeys(weights, 100), checks, goodwill=1000)


def entropy(weights: Mapping[str, float]) -> float:
    whole = sum(weights.values())
    return -sum(weight / whole * log2(weight / whole) for weight in weights.values())


def test_six_states_need_two_point_one_eight_tests() -> None:
    found = best(six_states())
    assert found.exact
    assert found.cost == pytest.approx(102.18)
    assert found.check == "t2"


def test_the_best_single_look_is_not_the_best_order() -> None:
    """The greatest net value is that of t1, which costs 2.86 tests in the end; t2 and t4 are best."""
    here = six_states()
    moves = first_moves(here)
    now = moves[None].cost
    nets = []
    for one in here.open_checks():
        after = [answered(here, one, place).stop() for place in range(2)]
        nets.append(now - sum(stop.loss for stop in after if stop is not None) - here.price(one))
    assert nets == pytest.approx([200, 154, 121, 175, 110])
    assert moves["t1"].cost == pytest.approx(102.86)
    assert moves["t2"].cost == pytest.approx(102.18)
    assert moves["t4"].cost == pytest.approx(102.18)


def test_a_test_for_every_split_makes_a_huffman_code(monkeypatch: pytest.MonkeyPatch) -> None:
    """Five letters, 2.10 tests, by search: with fifteen tests the sets of answers are too many to list quickly."""
    monkeypatch.setattr(policy, "_listed", lambda *_: False)
    found = best(all_splits(LETTERS), seconds=None)
    assert found.exact
    assert found.cost == pytest.approx(102.10)


def test_six_letters_need_two_point_two_four() -> None:
    """Cormen et al., 16.3: 45 13 12 16 9 5 with all 31 splits."""
    letters = {"a": 45.0, "b": 13.0, "c": 12.0, "d": 16.0, "e": 9.0, "f": 5.0}
    found = best(all_splits(letters), seconds=None)
    assert found.exact
    assert found.cost == pytest.approx(102.24)
    assert entropy(letters) == pytest.approx(2.219880, abs=5e-7)
    assert found.bound >= 100 + entropy(letters)


def test_entropy_and_huffman_stand_below_the_best_tree() -> None:
    """Shannon 1948 and Huffman 1952: 1.454873 <= 1.59 <= 2.18 for the six states."""
    assert entropy(STATES) == pytest.approx(1.454873, abs=5e-7)
    assert best(all_splits(STATES), seconds=None).cost == pytest.approx(101.59)
    assert best(six_states()).cost >= 100 + 1.59


def test_a_bound_before_anything_is_tried_is_below_the_best_tree(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(policy, "_listed", lambda *_: False)
    assert 100 < best(six_states(), seconds=None, nodes=1).bound <= 102.18


def huffman_splits(weights: Mapping[str, float]) -> list[frozenset[str]]:
    """For each inner vertex of a Huffman tree, the letters below its lighter child: the twelve tests that it asks."""
    heap = [(weight, at, frozenset({name})) for at, (name, weight) in enumerate(weights.items())]
    heapify(heap)
    splits = []
    while len(heap) > 1:
        lighter, heavier = heappop(heap), heappop(heap)
        splits.append(lighter[2])
        heappush(heap, (lighter[0] + heavier[0], len(weights) + len(splits), lighter[2] | heavier[2]))
    return splits


def test_the_thirteen_letters_of_huffman() -> None:
    """Huffman 1952, his own ensemble: 3.42 tests. With the splits of his tree alone, as a test for every one of the
    4,095 splits is out of reach; no more splits could do better.
    """
    ensemble = (20, 18, 10, 10, 10, 6, 6, 4, 4, 4, 4, 3, 1)
    letters = {f"m{at}": float(weight) for at, weight in enumerate(ensemble)}
    checks = [
        check(f"split-{at}", 1, {name: (1.0, 0.0) if name in inside else (0.0, 1.0) for name in letters})
        for at, inside in enumerate(huffman_splits(letters))
    ]
    found = best(plain(letters, dict.fromkeys(letters, 100), checks, goodwill=1000), seconds=None)
    assert found.exact
    assert found.cost == pytest.approx(103.42)
