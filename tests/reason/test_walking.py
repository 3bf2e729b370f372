"""What a walk costs where trees go on in trees that go on: sums that can be done by hand."""

from pathlib import Path

import pytest

from diagtree.graph.serving import builds
from diagtree.model.library import Library
from diagtree.reason.case import case
from diagtree.reason.standing import Standing, answered, start
from diagtree.reason.walking import onward_cost, walk_cost
from diagtree.source.reader import read

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
