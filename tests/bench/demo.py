"""`python -m tests.bench.demo [TREE...] [--seconds S]`: what the demo trees cost, as the table of DEVELOPERS.md.

A row for each tree, engine and build. Money as the shop reckons it, come-backs among it:

walk       cost of walking the tree as it is written
best       the cheapest order of its checks that was found, the written one with the best scope at each end among them;
           and the bound that no order can be below
over       by how much the walk is dearer than that order
checks     mean number of checks of a visit
before     mean number of them before the first that lies behind work; of a visit without such a check, all
cover      share of visits that open the timing drive: the cover at the front of the V8, at the flywheel end of the I4
residual   share of cars that come back with another cause

A visit that goes on in another tree goes through that tree too, weighed by its belief after all answers.
"""

import argparse
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from diagtree.graph.serving import builds, served
from diagtree.model.library import Library
from diagtree.model.tree import Onward, Outcome, Question
from diagtree.reason.case import Case, case
from diagtree.reason.policy import best
from diagtree.reason.standing import Standing, answered, start
from diagtree.reason.walking import walk_and_asked_cost
from diagtree.source.reader import read

TREES = Path(__file__).resolve().parents[2] / "trees"
# The step that opens the timing drive, wherever it sits.
COVER = "timing-cover-off"
SECONDS = 10.0  # for each row
HEAD = ("tree", "engine", "build", "walk", "best", "bound", "over", "checks", "before", "cover", "residual")


@dataclass(frozen=True, slots=True)
class Visit:
    """One path. Chances are shares of all visits."""

    chance: float
    checks: int
    before: int  # checks before the first that lies behind work
    cover: bool  # whether the timing drive is opened, for a check or for the repair
    residual: float  # the share that comes back, at most `chance`


@dataclass(frozen=True, slots=True)
class Means:
    """The means over all visits of a tree on a build."""

    checks: float
    before: float
    cover: float
    residual: float


def visits(here: Standing, scale: float = 1.0) -> Iterator[Visit]:
    """Every path from a tree's start that can happen; `scale` turns the standing's mass into a share of all visits."""
    yield from _from(here, here.case.tree.start, scale, 0, None)


def _from(here: Standing, node: str, scale: float, checks: int, before: int | None) -> Iterator[Visit]:
    if not here.mass > 0.0:
        return
    of = here.case
    found = of.tree.nodes[node]
    if isinstance(found, Onward):
        yield from _beyond(here, found, scale, checks, before)
    elif isinstance(found, Outcome):
        yield _ended(here, found, scale, checks, before)
    elif found.check in here.findings:
        yield from _from(here, found.then[here.findings[found.check].answer], scale, checks, before)
    else:
        yield from _asked(here, found, scale, checks, before)


def _asked(here: Standing, node: Question, scale: float, checks: int, before: int | None) -> Iterator[Visit]:
    check = here.case.checks[node.check]
    if not check.applies or here.forbidden(check):
        yield from _from(here, node.otherwise, scale, checks, before)
        return
    first = checks if before is None and check.behind else before
    for place, answer in enumerate(check.answers):
        yield from _from(answered(here, check, place), node.then[answer], scale, checks + 1, first)


def _beyond(here: Standing, node: Onward, scale: float, checks: int, before: int | None) -> Iterator[Visit]:
    there = here.case.beyond[node.tree]
    chances = here.beyond[node.tree]
    mass = float(chances.sum())
    if mass > 0.0:
        further = Standing(there, chances, here.done, here.findings, {name: here.beyond[name] for name in there.beyond})
        yield from _from(further, there.tree.start, scale * here.mass / mass, checks, before)


def _ended(here: Standing, node: Outcome, scale: float, checks: int, before: int | None) -> Visit:
    of = here.case
    off = here.done
    for fault in node.faults:
        off |= of.repairs[of.causes.index(fault)] or 0
    left = sum(float(chance) for chance, mended in zip(here.chances, of.mends(off), strict=True) if not mended)
    opened = COVER in of.steps and bool(off & of.bits((COVER,)))
    return Visit(scale * here.mass, checks, checks if before is None else before, opened, scale * left)


def means(of: Case) -> Means:
    """The means over all visits of a case."""
    every = list(visits(start(of)))
    return Means(
        checks=sum(one.chance * one.checks for one in every),
        before=sum(one.chance * one.before for one in every),
        cover=sum(one.chance for one in every if one.cover),
        residual=sum(one.residual for one in every),
    )


def row(of: Case, seconds: float) -> tuple[str, ...]:
    """One line of the table."""
    here = start(of)
    walk, asked = walk_and_asked_cost(here)
    found = best(here, seconds)
    cheapest = min(asked, found.cost)
    mean = means(of)
    return (
        of.tree.id,
        of.engine.id,
        of.build.id,
        f"{walk:.0f}",
        f"{cheapest:.0f}",
        f"{min(found.bound, cheapest):.0f}",
        f"{100 * (walk / cheapest - 1):.1f} %",
        f"{mean.checks:.1f}",
        f"{mean.before:.1f}",
        f"{100 * mean.cover:.0f} %",
        f"{100 * mean.residual:.0f} %",
    )


def cases(library: Library, names: Iterable[str] = ()) -> Iterator[Case]:
    """Each tree (or those named) on each engine in each build, in file order."""
    wanted = set(names)
    for tree in library.trees.values():
        if not wanted or tree.id in wanted:
            yield from (
                case(library, tree, engine, build) for engine in served(library, tree) for build in builds(engine)
            )


def main(argv: list[str]) -> int:
    """Print the table, a line as it is known."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.bench.demo", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("trees", nargs="*", metavar="TREE", help="tree ids; all without")
    parser.add_argument("--seconds", type=float, default=SECONDS, help="for the best order of each row")
    args = parser.parse_args(argv)
    library = read(str(TREES)).library
    sys.stdout.write(f"| {' | '.join(HEAD)} |\n|{' --- |' * len(HEAD)}\n")
    for of in cases(library, args.trees):
        sys.stdout.write(f"| {' | '.join(row(of, args.seconds))} |\n")
        sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
