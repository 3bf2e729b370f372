"""Belief at the edges of what numbers hold, against 50-digit arithmetic."""

from collections.abc import Mapping, Sequence
from random import Random

import mpmath
import pytest

from diagtree.reason.belief import Belief
from tests.reason.textbook import check, weigh

mpmath.mp.dps = 50
CAUSES = ("worn", "loose", "dry", "dirty")


def by_long_hand(
    weights: dict[str, float], rows: Sequence[Mapping[str, Sequence[float]]], seen: list[int]
) -> list[float]:
    """P(cause | answers), in 50 digits."""
    chances = []
    for cause in CAUSES:
        chance = mpmath.mpf(weights[cause])
        for row, place in zip(rows, seen, strict=True):
            total = mpmath.fsum(mpmath.mpf(cell) for cell in row[cause])
            chance *= mpmath.mpf(row[cause][place]) / total
        chances.append(chance)
    whole = mpmath.fsum(chances)
    return [float(chance / whole) for chance in chances]


def agree(weights: dict[str, float], rows: Sequence[Mapping[str, Sequence[float]]], seen: list[int]) -> None:
    checks = [check(f"check-{at}", row) for at, row in enumerate(rows)]
    replies = {one.id: one.answers[place].id for one, place in zip(checks, seen, strict=True)}
    found = weigh(weights, checks, replies)
    assert isinstance(found, Belief)
    expected = by_long_hand(weights, rows, seen)
    assert list(found.by_fault.values()) == pytest.approx(expected, rel=1e-9, abs=1e-300)


@pytest.mark.parametrize("seed", range(5))
def test_five_hundred_answers(seed: int) -> None:
    draw = Random(seed)
    rows = [
        {cause: (draw.uniform(1, 99), draw.uniform(1, 99), draw.uniform(1, 99)) for cause in CAUSES} for _ in range(500)
    ]
    seen = [draw.randrange(3) for _ in range(500)]
    agree(dict.fromkeys(CAUSES, 1.0), rows, seen)


def test_chances_of_1e_minus_300_many_times_over() -> None:
    rows = [{cause: (1e-300 * (at + 1), 1.0) for at, cause in enumerate(CAUSES)} for _ in range(100)]
    agree(dict.fromkeys(CAUSES, 1.0), rows, [0] * 100)


def test_weights_from_1e_minus_12_to_1e12() -> None:
    weights = dict(zip(CAUSES, (1e-12, 1e12, 1.0, 1e6), strict=True))
    rows = [{cause: (10.0**-at, 1.0) for at, cause in enumerate(CAUSES)} for _ in range(3)]
    agree(weights, rows, [0, 0, 0])


def test_answers_that_pull_apart_and_back_again() -> None:
    up = {cause: (10.0 ** (3 * at), 1e12) for at, cause in enumerate(CAUSES)}
    down = {cause: (10.0 ** (9 - 3 * at), 1e12) for at, cause in enumerate(CAUSES)}
    agree(dict.fromkeys(CAUSES, 1.0), [up, down] * 200, [0] * 400)
