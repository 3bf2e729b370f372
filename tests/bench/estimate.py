"""The mixture of an estimate against direct convolution of the same cells, way by way."""

from collections.abc import Iterator
from fractions import Fraction
from random import Random

import numpy as np

from diagtree.estimate.law import Floats
from diagtree.estimate.mixture import Sum, mixture
from diagtree.estimate.pert import cells
from diagtree.graph.pricing import exact
from diagtree.model.quantity import Hours
from tests.bench.measure import Row, in_turn

WAYS, EACH, STEPS = 2_000, 15, 40
GRID = Fraction(1, 20)


def work(seed: int = 1) -> tuple[list[Sum], dict[str, Hours]]:
    """So many ways of 15 three-point hours each, of 40 steps of up to six hours."""
    random = Random(seed)
    points = {}
    for at in range(STEPS):
        low = random.randint(2, 40) / 20
        likely = low + random.randint(1, 30) / 20
        points[f"s{at:02}"] = Hours(low, likely, likely + random.randint(5, 60) / 20)
    names = list(points)
    return [
        Sum(random.random(), Fraction(0), tuple(sorted(random.sample(names, EACH))), 0.0) for _ in range(WAYS)
    ], points


def direct(ways: list[Sum], points: dict[str, Hours]) -> Floats:
    """The chances of each cell, by convolving each way's cells one after another."""
    rows = dict(zip(points, cells(list(points.values()), float(GRID)), strict=True))
    least = {name: int(exact(hours.optimistic) / GRID) for name, hours in points.items()}
    starts = [sum(least[name] for name in way.spread) for way in ways]
    length = 1 + max(
        start + sum(len(rows[name]) - 1 for name in way.spread) for start, way in zip(starts, ways, strict=True)
    )
    total = np.zeros(length)
    for start, way in zip(starts, ways, strict=True):
        chances = np.ones(1)
        for name in way.spread:
            chances = np.convolve(chances, rows[name])
        total[start : start + len(chances)] += way.chance * chances
    return np.asarray(total / sum(way.chance for way in ways), dtype=np.float64)


def rows() -> Iterator[Row]:
    """The yardstick; both sides must agree first."""
    ways, points = work()
    want, got = direct(ways, points), mixture(ways, points, GRID)
    ours = np.zeros(len(want))
    np.add.at(ours, np.rint(got.hours / float(GRID)).astype(int), got.chances)
    error = float(np.abs(ours - want).max())
    assert error < 1e-12, f"the two sides differ by {error}"
    quick, slow = in_turn(lambda: mixture(ways, points, GRID), lambda: direct(ways, points), 5)
    note = f"{quick * 1e3:.0f} ms, {slow * 1e3:.0f} ms; largest difference {error:.0e}"
    yield Row("estimate, 2,000 paths of 15 hours", "direct convolution", slow / quick, 5, 8, note, least=True)
