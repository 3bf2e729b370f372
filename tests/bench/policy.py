"""How fast the best policy is exact, and how near bound and policy come where it is not. Run by hand.

    python -m tests.bench.policy [--json] [--seconds 10] [--seeds 3] [--quick]

Exact: 12 checks of two answers on 10 faults against the same recursion over sets of answers in plain Python, which
stops by the package's own best scope one belief at a time; results are compared first. Open: 30 faults, 40 checks, 60
steps, so many seconds: (found - bound) / found. Three ways to draw a library: `halves`, where a check splits the faults
about evenly; `systems`, where it tells one group of related faults from the rest; `spread`, where it is raised by a few
faults of any kind, often weakly.
"""

import json
import sys
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from random import Random
from statistics import median
from time import perf_counter

from diagtree.model.check import Check
from diagtree.model.engine import Step
from diagtree.model.library import Library
from diagtree.reason.bounds import Bounder
from diagtree.reason.compact import compact
from diagtree.reason.policy import best
from diagtree.reason.standing import Standing, start
from diagtree.reason.stopping import best_stop
from tests.bench import measure
from tests.reason.cases import check, library, of, step

RATE = 95.0


def draw_library(seed: int, faults: int, checks: int, steps: int, kind: str) -> Library:
    """A workshop's library: covers in front of one another, repairs behind them, checks of one or the other kind."""
    draw = Random(seed)
    names = [f"f{at}" for at in range(faults)]
    covers, work = _work(draw, steps)
    mends = [one.id for one in work if one.id not in covers]
    repairs = {name: draw.sample(mends, draw.choice([1, 1, 2])) for name in names}
    weights = {name: float(draw.choice([1, 2, 3, 5, 8, 13, 21])) for name in names}
    make = {"halves": _half, "systems": _system, "spread": _spread}[kind]
    made = [make(draw, f"c{at}", names, covers) for at in range(checks)]
    return library(weights, repairs, work, made, goodwill=600, other=2.0)


def _work(draw: Random, steps: int) -> tuple[list[str], list[Step]]:
    covers = [f"cover-{at}" for at in range(max(2, steps // 6))]
    work = [
        step(name, round(RATE * draw.uniform(0.3, 2.6), 2), draw.sample(covers[:at], min(at, draw.choice([0, 1, 1]))))
        for at, name in enumerate(covers)
    ]
    for at in range(steps - len(covers)):
        behind = draw.sample(covers, draw.choice([0, 1, 1]))
        work.append(step(f"mend-{at}", round(RATE * draw.uniform(0.4, 2.0) + draw.uniform(20, 400), 2), behind))
    return covers, work


def _half(draw: Random, name: str, faults: list[str], covers: list[str]) -> Check:
    inside = draw.sample(faults, max(1, len(faults) // 2))
    return _check(draw, name, {fault: draw.choice([80.0, 90.0, 95.0]) for fault in inside}, [2.0, 5.0, 10.0], covers)


def _system(draw: Random, name: str, faults: list[str], covers: list[str]) -> Check:
    size = draw.choice([1, 2, 3, 4, 6, 10])
    first = draw.randrange(len(faults))
    inside = {faults[(first + at) % len(faults)] for at in range(min(size, len(faults) - 1))}
    return _check(draw, name, {fault: draw.choice([80.0, 90.0, 95.0]) for fault in inside}, [2.0, 5.0, 10.0], covers)


def _spread(draw: Random, name: str, faults: list[str], covers: list[str]) -> Check:
    inside = draw.sample(faults, draw.randint(2, max(2, len(faults) // 4)))
    return _check(
        draw, name, {fault: draw.choice([60.0, 80.0, 90.0, 95.0]) for fault in inside}, [3.0, 10.0, 20.0], covers
    )


def _check(draw: Random, name: str, seen: dict[str, float], other: list[float], covers: list[str]) -> Check:
    default = draw.choice(other)
    rows = {"default": (default, 100 - default), **{fault: (one, 100 - one) for fault, one in seen.items()}}
    behind = draw.sample(covers, 1) if draw.random() < 0.25 else []
    price = round(RATE * draw.choice([0.1, 0.1, 0.2, 0.3, 0.5]), 2)
    return replace(check(name, price, rows, behind=behind), slip=0.01)


def plainly(here: Standing) -> float:
    """The same dynamic programme by memoised recursion on lists."""
    work = here.work()
    asked = [
        (
            one.price,
            one.behind,
            [row.tolist() for row in one.rows],
        )
        for one in here.open_checks()
    ]
    known: dict[tuple[int, ...], float] = {}

    def value(key: tuple[int, ...], chances: list[float], done: int) -> float:
        found = known.get(key)
        if found is not None:
            return found
        mass = sum(chances)
        stop = best_stop(work, chances, done)
        least = stop.loss if stop else 0.0
        for at, (price, behind, rows) in enumerate(asked):
            if not key[at]:
                cost = mass * (price + here.case.cost(behind & ~done))
                for place, row in enumerate(rows, start=1):
                    after = [p * q for p, q in zip(chances, row, strict=True)]
                    cost += value((*key[:at], place, *key[at + 1 :]), after, done | behind)
                least = min(least, cost)
        known[key] = least
        return least

    return value((0,) * len(asked), here.chances.tolist(), here.done)


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the table."""

    what: str
    figure: str
    value: float
    reach: float | None = None
    goal: float | None = None


def timed(work: Callable[[], float], times: int) -> tuple[float, float]:
    """Median seconds, and the result."""
    spent, found = [], 0.0
    for _ in range(times):
        began = perf_counter()
        found = work()
        spent.append(perf_counter() - began)
    return median(spent), found


def exact_rows(seed: int, *, quick: bool) -> list[Row]:
    """12 checks against plain Python, and 14 alone."""
    many = 9 if quick else 12
    here = start(of(draw_library(seed, 10, many, 24, "systems")))
    ours, cost = timed(lambda: best(here, None).cost, 5)
    theirs, wanted = timed(lambda: plainly(here), 1)
    if abs(cost - wanted) > 1e-9 * wanted:
        message = f"results differ: {cost} and {wanted}"
        raise SystemExit(message)
    rows = [
        Row(f"exact, {many} checks x 2 answers x 10 faults", "s", ours),
        Row("  the same in plain Python", "s", theirs),
        Row("  how much faster", "x", theirs / ours, 3.0, 40.0),
    ]
    if not quick:
        more = start(of(draw_library(seed, 10, 14, 24, "systems")))
        rows.append(Row("exact, 14 checks x 2 answers x 10 faults", "s", timed(lambda: best(more, None).cost, 3)[0]))
    return rows


def open_rows(kind: str, seeds: int, seconds: float) -> list[Row]:
    """30 faults, 40 checks, 60 steps."""
    gaps, known = [], []
    for seed in range(1, seeds + 1):
        here = start(of(draw_library(seed, 30, 40, 60, kind)))
        found = best(here, seconds)
        small = compact(here)
        told = float(Bounder(small).informed(0) @ small.chances) / here.mass
        gaps.append(100 * (found.cost - found.bound) / found.cost)
        known.append(100 * (found.cost - told) / found.cost)
    return [
        Row(f"open, 30 faults, 40 checks, {kind}: bound below found, median", "%", median(gaps), 15.0, 5.0),
        Row("  worst", "%", max(gaps)),
        Row("  perfect information alone, median", "%", median(known)),
    ]


def rows() -> Iterator[measure.Row]:
    """The yardstick of the exact policy; the open cases have a name of their own, as they take minutes."""
    found = {row.what.strip(): row.value for row in exact_rows(1, quick=False)}
    what = "exact, 12 checks x 2 answers x 10 faults"
    note = f"{found[what] * 1e3:.0f} ms; 14 checks {found['exact, 14 checks x 2 answers x 10 faults']:.2f} s"
    faster = found["how much faster"]
    yield measure.Row(f"best policy, {what}", "plain Python", faster, 3.0, 40.0, note, least=True)


def main(argv: list[str]) -> int:
    """Measure and print."""
    parser = ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--quick", action="store_true", help="nine checks against plain Python")
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seeds", type=int, default=3)
    args = parser.parse_args(argv)
    rows = exact_rows(1, quick=args.quick)
    for kind in ("halves", "systems", "spread"):
        rows += open_rows(kind, args.seeds, args.seconds)
    if args.json:
        sys.stdout.write(json.dumps([{name: getattr(row, name) for name in Row.__slots__} for row in rows]) + "\n")
        return 0
    for row in rows:
        aims = "" if row.reach is None else f"   reach {row.reach:g}, goal {row.goal:g}"
        sys.stdout.write(f"{row.what:70} {row.value:10.3f} {row.figure}{aims}\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
