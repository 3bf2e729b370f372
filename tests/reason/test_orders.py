"""Orders that are grown: what they are said to cost is what following them costs."""

import numpy as np
import pytest

from diagtree.reason.bounds import Bounder
from diagtree.reason.compact import Compact, compact
from diagtree.reason.losses import Losses
from diagtree.reason.orders import Orders, Plan
from diagtree.reason.standing import Standing, answered, start
from tests.reason.cases import brute, brute_stop, of, random_library
from tests.reason.test_policy import onward_library


def grown(small: Compact) -> tuple[Orders, Plan]:
    orders = Orders(small, Losses(small), Bounder(small), lambda: True)
    plan = orders.plan(bytes(len(small.tests)), 0, np.ones(len(small.tests), dtype=np.bool_))
    orders.grow([plan], 0.0)
    return orders, plan


def follow(small: Compact, here: Standing, plan: Plan) -> float:
    """The cost of a plan by the standings alone; answers taken together are followed one by one."""
    if plan.test < 0:
        if small.varies:
            stop = here.stop()
            assert stop is not None
            return stop.loss
        return brute_stop(here)
    test = small.tests[plan.test]
    assert test.check in here.open_checks()
    total = here.mass * here.price(test.check)
    for after in plan.after:
        for place in test.places[after.digits[plan.test] - 1]:
            then = answered(here, test.check, place)
            total += follow(small, then, after) if then.mass > 0.0 else 0.0
    return total


@pytest.mark.parametrize("seed", range(60))
def test_an_order_costs_what_following_it_costs_and_betters_never_worsen_it(seed: int) -> None:
    here = start(of(random_library(seed)))
    if not here.mass > 0.0:
        return
    small = compact(here)
    orders, plan = grown(small)
    truth = brute(here)
    costs = [plan.cost]
    assert plan.cost == pytest.approx(follow(small, here, plan), rel=1e-9, abs=1e-12)
    for _ in range(3):
        orders.better(plan)
        costs.append(plan.cost)
    assert costs == sorted(costs, reverse=True)
    assert plan.cost == pytest.approx(follow(small, here, plan), rel=1e-9, abs=1e-12)
    assert plan.cost >= truth * (1 - 1e-9)


def test_orders_get_better_and_some_are_best() -> None:
    """So that the test above compares something."""
    better = best = 0
    for seed in range(60):
        here = start(of(random_library(seed)))
        if here.mass > 0.0 and here.open_checks():
            orders, plan = grown(compact(here))
            first = plan.cost
            while orders.better(plan):
                pass
            better += plan.cost < first * (1 - 1e-9)
            best += plan.test >= 0 and plan.cost <= brute(here) * (1 + 1e-9)
    assert better > 0
    assert best > 10


@pytest.mark.parametrize("seed", range(12))
def test_an_order_where_a_tree_goes_on_costs_what_following_it_costs(seed: int) -> None:
    here = start(of(onward_library(seed)))
    if here.mass > 0.0:
        small = compact(here)
        orders, plan = grown(small)
        orders.better(plan)
        assert plan.cost == pytest.approx(follow(small, here, plan), rel=1e-9, abs=1e-12)


def test_an_order_cut_short_stops_where_it_was_cut() -> None:
    here = start(of(random_library(11)))
    small = compact(here)
    cut = Orders(small, Losses(small), Bounder(small), lambda: False)
    plan = cut.plan(bytes(len(small.tests)), 0, np.ones(len(small.tests), dtype=np.bool_))
    cut.grow([plan], 0.0)
    assert plan.test == -1
    assert plan.cost == pytest.approx(brute_stop(here))
