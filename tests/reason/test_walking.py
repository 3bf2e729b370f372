"""What a walk costs where trees go on in others, by hand; with the best scope at each end, by brute force."""

from pathlib import Path

import pytest

from diagtree.graph.serving import builds, served
from diagtree.model.library import Library
from diagtree.reason.case import case
from diagtree.reason.costing import costs
from diagtree.reason.policy import best
from diagtree.reason.standing import Standing, answered, start
from diagtree.reason.walking import onward_cost, walk_and_asked_cost, walk_cost
from diagtree.source.reader import read
from tests.oracle.deciding import asked_cost, benches
from tests.oracle.libraries import random_library
from tests.oracle.reading import read_library

FOREIGN = Path(__file__).parents[1] / "foreign"
THREE_TREES = """
shop: s
name: S
currency: EUR
labour-rate: 10
tax: 0
goodwill: 100
---
faults:
  a: {title: A, why: W, repair: [mend-a], verify: [V]}
  b: {title: B, why: W, repair: [mend-b], verify: [V]}
  c: {title: C, why: W, repair: [mend-c], verify: [V]}
---
checks:
  one: {ask: One?, hours: 1, slip: 0, answers: {here: H, beyond: B}, given: {default: 0, a: 100}}
  two: {ask: Two?, hours: 2, slip: 0, answers: {here: H, beyond: B}, given: {default: 0, b: 100}}
  three:
    {ask: Three?, hours: 3, slip: 0, answers: {here: H, beyond: B}, given: {default: 100}, never-after: {one: [here]}}
---
engine: e
title: E
builds: {only-one: {share: 1}}
work: {mend-a: {title: A, hours: 4}, mend-b: {title: B, hours: 5}, mend-c: {title: C, hours: 6}}
parts: {}
---
tree: first
title: first
weights: {a: 50, second: 50}
start: one
nodes: {one: {check: one, then: {here: end, beyond: on}}, end: {outcome: a}, on: {continue: second}}
---
tree: second
title: second
weights: {b: 50, third: 50}
start: two
nodes: {two: {check: two, then: {here: end, beyond: on}}, end: {outcome: b}, on: {continue: third}}
---
tree: third
title: third
weights: {c: 1}
start: three
nodes: {three: {check: three, then: {here: end, beyond: end}}, end: {outcome: c}}
"""
THIRD = 30 + 60
SECOND = 20 + 0.5 * 50 + 0.5 * THIRD


@pytest.fixture
def library(tmp_path: Path) -> Library:
    """Three trees, each of which goes on in the next."""
    file = tmp_path / "three.yaml"
    file.write_text(THREE_TREES, encoding="utf-8")
    found = read(str(file))
    assert [problem.message for problem in found.problems] == []
    return found.library


def begun(library: Library, tree: str) -> Standing:
    [engine] = library.engines.values()
    [build] = builds(engine)
    return start(case(library, library.trees[tree], engine, build))


@pytest.mark.parametrize(
    ("tree", "cost"), [("third", THIRD), ("second", SECOND), ("first", 10 + 0.5 * 40 + 0.5 * SECOND)]
)
def test_going_on_twice_costs_the_sum_by_hand(library: Library, tree: str, cost: float) -> None:
    assert walk_cost(begun(library, tree)) == pytest.approx(cost)


def test_a_tree_that_the_answers_close_ends_where_no_way_is_left(library: Library) -> None:
    """`three` is never done after `one` has shown `here`, and it has no `else`.

    Nobody goes on there then, but it is weighed beside the other scopes: nothing is told in it, and nothing mended.
    """
    here = begun(library, "first")
    after = answered(here, here.case.checks["one"], 0)
    assert after.work().come_back
    third = begun(library, "second")
    told = answered(here, here.case.checks["one"], 0).findings
    shut = Standing(third.case, third.chances, 0, told, third.beyond)
    assert onward_cost(shut, "third", 0) == pytest.approx(100 + 60)


def agree(path: Path) -> int:
    """Compare every tree and build of a library with the plain reading; how many end better than they are written."""
    ours, theirs = read(str(path)).library, read_library(path)
    better = 0
    for tree in ours.trees.values():
        for engine in served(ours, tree):
            for build in builds(engine):
                here = start(case(ours, tree, engine, build))
                walk, asked = walk_and_asked_cost(here, rare=0.0)
                assert walk == pytest.approx(walk_cost(here))
                assert asked == pytest.approx(asked_cost(benches(theirs, tree.id)[build.id]))
                assert best(here, None).cost <= asked * (1 + 1e-9)
                better += asked < walk * (1 - 1e-9)
    return better


@pytest.mark.parametrize("seed", [1, 3, 15, 20, 24, 30])
def test_best_scopes_at_the_ends_agree_with_the_plain_reading(seed: int, tmp_path: Path) -> None:
    (tmp_path / "library.yaml").write_text(random_library(seed), encoding="utf-8")
    assert agree(tmp_path) > 0


def test_best_scopes_agree_where_a_tree_goes_on_in_another() -> None:
    assert agree(FOREIGN / "pump") > 0


def test_rare_paths_go_on_as_written(tmp_path: Path) -> None:
    """Between the walk and best scopes everywhere; with every path rare it is the walk."""
    file = tmp_path / "library.yaml"
    file.write_text(random_library(15), encoding="utf-8")
    library = read(str(file)).library
    for tree in library.trees.values():
        for engine in served(library, tree):
            for build in builds(engine):
                here = start(case(library, tree, engine, build))
                found = [walk_and_asked_cost(here, rare)[1] for rare in (0.0, 0.05, 2.0)]
                assert found == sorted(found)
                assert found[-1] == pytest.approx(walk_cost(here))


def test_no_best_order_is_dearer_than_the_trees_own_questions(library: Library) -> None:
    for one in costs(library, 0.0):
        _, asked = walk_and_asked_cost(begun(library, one.tree))
        assert one.bound <= one.best <= asked + 1e-9 <= one.walk + 2e-9
