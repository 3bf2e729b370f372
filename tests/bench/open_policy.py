"""How near the best policy found and the bound below all come where neither closes. It takes minutes."""

from collections.abc import Iterator

from tests.bench.measure import Row
from tests.bench.policy import open_rows

SECONDS = 10.0
SEEDS = 3


def rows() -> Iterator[Row]:
    """(found - bound) / found in per cent, the median of some libraries of each kind."""
    for kind in ("halves", "systems", "spread"):
        middle, worst, known = open_rows(kind, SEEDS, SECONDS)
        note = f"worst {worst.value:.1f} %; perfect information alone {known.value:.1f} %"
        what = f"open policy, 30 faults, 40 checks, {kind}, %"
        yield Row(what, f"the best found in {SECONDS:g} s", middle.value, 15.0, 5.0, note)
