"""The mixture by spectra against plain convolution, and its exactness where nothing is spread."""

from collections.abc import Mapping
from fractions import Fraction
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal

from diagtree.estimate.mixture import GRIDS, Atoms, Sum, fitting, mixture, quick_length
from diagtree.estimate.pert import cells
from diagtree.model.quantity import Hours

POINTS = {
    "a": Hours(0.2, 0.5, 1.0),
    "b": Hours(1.0, 1.0, 4.0),
    "c": Hours(0.05, 0.3, 0.3),
    "d": Hours(2.0, 3.0, 6.5),
    "e": Hours(0.1, 0.1, 0.13),
}
GRID = Fraction(1, 20)


def sums() -> st.SearchStrategy[list[Sum]]:
    one = st.builds(
        Sum,
        chance=st.floats(1e-6, 1.0),
        certain=st.fractions(0, 5, max_denominator=40),
        spread=st.sets(st.sampled_from(sorted(POINTS))).map(lambda names: tuple(sorted(names))),
        parts=st.sampled_from([0.0, 12.5, 80.0]),
    )
    return st.lists(one, min_size=1, max_size=12)


def by_convolution(ways: list[Sum], points: Mapping[str, Hours] = POINTS) -> dict[tuple[float, float], float]:
    """(hours, parts) -> chance, each way by itself."""
    found: dict[tuple[float, float], float] = {}
    whole = sum(way.chance for way in ways)
    for way in ways:
        chances = np.ones(1)
        start = way.certain
        for name in way.spread:
            chances = signal.convolve(chances, cells([points[name]], float(GRID))[0], method="direct")
            start += Fraction(str(points[name].optimistic))
        for at, chance in enumerate(chances):
            key = (round(float(start + at * GRID), 9), way.parts)
            found[key] = found.get(key, 0.0) + chance * way.chance / whole
    return found


def as_pairs(atoms: Atoms) -> dict[tuple[float, float], float]:
    found: dict[tuple[float, float], float] = {}
    for hours, parts, chance in zip(atoms.hours, atoms.parts, atoms.chances, strict=True):
        key = (round(float(hours), 9), float(parts))
        found[key] = found.get(key, 0.0) + float(chance)
    return found


@given(sums())
@settings(max_examples=60)
def test_spectra_give_what_convolution_gives(ways: list[Sum]) -> None:
    got, want = as_pairs(mixture(ways, POINTS, GRID)), by_convolution(ways)
    assert set(got) <= set(want)
    for key, chance in want.items():
        assert got.get(key, 0.0) == pytest.approx(chance, abs=1e-12)


def crowd(seed: int, many: int, least: int, most: int) -> tuple[list[Sum], dict[str, Hours]]:
    """So many ways of `least` to `most` variables each, of 18: more than are multiplied out at every frequency."""
    random = Random(seed)
    points = {}
    for at in range(18):
        low = random.randint(0, 40) / 20
        gaps = random.choice([(0.0, 1.0), (0.4, 1.1), (0.9, 0.0), (0.02, 0.05)])  # ends as steep as a law can have
        points[f"v{at:02}"] = Hours(low, low + gaps[0], low + sum(gaps))
    names = sorted(points)
    return [
        Sum(
            chance=random.random(),
            certain=Fraction(random.randint(0, 4), 8),
            spread=tuple(sorted(random.sample(names, random.randint(least, most)))),
            parts=0.0,
        )
        for _ in range(many)
    ], points


@pytest.mark.parametrize(("seed", "least", "most"), [(1, 1, 3), (2, 1, 15), (3, 9, 15), (4, 15, 15)])
def test_frequencies_that_are_left_out_move_nothing(seed: int, least: int, most: int) -> None:
    ways, points = crowd(seed, 80, least, most)
    got, want = as_pairs(mixture(ways, points, GRID)), by_convolution(ways, points)
    assert set(got) <= set(want)
    for key, chance in want.items():
        assert got.get(key, 0.0) == pytest.approx(chance, abs=1e-14)


@given(sums(), st.sampled_from(GRIDS))
@settings(max_examples=40)
def test_the_grid_keeps_the_exact_mean(ways: list[Sum], grid: Fraction) -> None:
    found = mixture(ways, POINTS, grid)
    whole = sum(way.chance for way in ways)
    mean = sum(way.chance * (float(way.certain) + sum(POINTS[name].mean for name in way.spread)) for way in ways)
    assert found.mean_hours == pytest.approx(mean / whole, abs=1e-12)
    assert float(found.hours @ found.chances) == pytest.approx(mean / whole, abs=1e-10)
    assert float(found.parts @ found.chances) == pytest.approx(found.mean_parts, abs=1e-10)
    assert found.chances.sum() == pytest.approx(1, abs=1e-12)


def test_plain_hours_are_not_rounded_to_cells() -> None:
    found = mixture([Sum(0.5, Fraction(1, 3), (), 0.0), Sum(0.5, Fraction(2, 7), (), 9.0)], {})
    assert sorted(found.hours.tolist()) == [2 / 7, 1 / 3]
    assert found.grid == 0.0


def test_many_ways_take_a_coarser_grid_and_never_above_a_twentieth() -> None:
    long = {f"v{at}": Hours(0.0, 1.0, 40.0) for at in range(40)}
    few = [Sum(1.0, Fraction(0), ("a",), 0.0)]
    many = [Sum(1.0, Fraction(0), tuple(long), float(at)) for at in range(3000)]
    assert fitting(few, POINTS) == Fraction(1, 100)
    assert fitting(many, long) == Fraction(1, 20)


def test_quick_lengths_hold_what_they_must() -> None:
    for least in range(1, 3000):
        found = quick_length(least)
        assert least <= found < 2 * least + 2
        assert found % 2 == 0
        for factor in (2, 3, 5):
            while found % factor == 0:
                found //= factor
        assert found == 1
