"""Twenty dots, and what a customer reads: the dots within any amount are the count that is said of it."""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.estimate.customer import extras, net, round_up, taxed
from diagtree.estimate.estimate import DOTS, count
from diagtree.estimate.law import Law, law
from diagtree.estimate.result import Estimate
from diagtree.model.library import Extra, Shop
from diagtree.report import estimate_words as words
from diagtree.report.chances import in_hundred
from tests.estimate.garage import GARAGE, estimated, garage, visit

SHOP = Shop("s", "S", "EUR", 80.0, 25.0, 100.0, (Extra("Rags", 5, "labour", 20), Extra("Waste", 10, "parts")), 10.0)


@pytest.fixture(scope="module")
def found() -> Estimate:
    return estimated(visit(garage()))


def laws() -> st.SearchStrategy[Law]:
    pairs = st.lists(st.tuples(st.integers(0, 5000), st.floats(1e-9, 1.0)), min_size=1, max_size=40)
    return pairs.map(
        lambda one: law(np.array([value / 10 for value, _ in one]), np.array([chance for _, chance in one]))
    )


def said(probability: float) -> int:
    """How many in 100 a count says; 0 where it says fewer than 5, 100 where it says more than 95."""
    text = in_hundred(probability)
    number = int(re.findall(r"\d+", text)[0])
    return {"fewer": 0, "more": 100}.get(text.split()[0], number)


@given(st.one_of(st.floats(0, 1), st.integers(0, 2000).map(lambda one: one / 2000)))
@settings(max_examples=500)
def test_dots_are_counted_as_chances_are_said(chance: float) -> None:
    assert count(chance) * 5 == said(chance)


@given(laws(), st.integers(0, 6000).map(lambda one: one / 10))
@settings(max_examples=300)
def test_the_dots_within_a_limit_match_the_count_that_is_stated(price: Law, limit: float) -> None:
    made = _with(price)
    inside = sum(dot <= limit * (1 + 1e-12) for dot in made.dots)
    assert len(made.dots) == DOTS
    assert list(made.dots) == sorted(made.dots)
    assert inside == made.dots_within(limit)
    assert inside * 5 == said(price.within(limit))
    row = words.dots(made, limit).replace(" ", "")
    assert (len(row), row.count(words.INSIDE)) == (DOTS, inside)
    assert row == words.INSIDE * inside + words.OUTSIDE * (DOTS - inside)


def test_the_dots_of_an_estimate_match_at_every_amount(found: Estimate) -> None:
    for limit in [0.0, *found.dots, *(dot - 0.001 for dot in found.dots), 1e9]:
        assert sum(dot <= limit for dot in found.dots) * 5 == said(found.price.within(limit))


def _with(price: Law) -> Estimate:
    from dataclasses import replace

    return replace(estimated(visit(garage(), "inner", "new", known={"spin": "stiff"})), price=price)


# Rounding, extras, tax


@given(st.floats(0, 1e7), st.sampled_from([0.0, 0.05, 1.0, 5.0, 10.0, 2.5]))
def test_a_figure_is_never_rounded_down(amount: float, step: float) -> None:
    from dataclasses import replace

    shown = round_up(replace(SHOP, round_to=step), amount)
    assert amount - 1e-6 <= shown < amount + (step or 0.01) + 1e-6


def test_a_figure_on_a_step_stays_there() -> None:
    assert [round_up(SHOP, amount) for amount in (0.0, 10.0, 640.0000000001, 640.01, 0.1)] == [0, 10, 640, 650, 10]


def test_extras_have_their_base_and_their_limit() -> None:
    labour, parts = np.array([100.0, 1000.0]), np.array([50.0, 0.0])
    rags, waste = extras(SHOP, labour, parts)
    assert rags.tolist() == [5.0, 20.0]
    assert waste.tolist() == [5.0, 0.0]
    assert net(SHOP, labour, parts).tolist() == [160.0, 1020.0]
    assert taxed(SHOP, 160.0) == 200.0


def test_the_stages_add_up_to_the_mean_bill(found: Estimate) -> None:
    assert sum(stage.share for stage in found.stages) == pytest.approx(found.net.mean)
    assert found.price.mean == pytest.approx(1.25 * found.net.mean)
    assert found.net.mean == pytest.approx(found.cost.mean + sum(found.extras))
    assert sum(one.probability for one in found.outcomes) == pytest.approx(1)
    assert found.cost.mean == pytest.approx(sum(one.probability * one.cost for one in found.outcomes))


def test_only_closing_up_is_billed_way_by_way() -> None:
    """Cover 1.17 h and its seal in one build; in the other it takes 13.5 h, and its rags reach their limit."""
    text = GARAGE.replace(
        "renew-wheel:", "frame-off: {title: Frame off, hours: 13.5, when: {frame: cast}}\n  renew-wheel:", 1
    )
    found = estimated(visit(garage(text.replace("behind: [cover-off]", "behind: [cover-off, frame-off]"))))
    opened = found.stages[1].reached
    cast, steel = (one.stages[1].reached for one in (estimated(visit(garage(text), build=b)) for b in ("new", "old")))
    shares = dict(zip((build.id for build in found.builds), found.shares, strict=True))
    short, long = 80 * 7 / 6, 80 * (7 / 6 + 13.5)
    small, large = (1.25 * (labour + extra + 12.5 * 1.1) for labour, extra in ((short, short * 0.05), (long, 20)))
    want = (shares["old"] * steel * small + shares["new"] * cast * large) / opened
    assert found.close_up == pytest.approx(want)


def test_a_deposit_is_named_and_not_reckoned(found: Estimate) -> None:
    (owing,) = found.deposits
    worn = next(one for one in found.outcomes if one.faults == ("worn",))
    assert owing.part.id == "wheel"
    assert owing.probability == pytest.approx(worn.probability)
    assert worn.parts < 12.5 + 150 + 4 * 3 + 0.5 * 8 + 1e-9  # the wheel at its price, the kit or less


def test_a_slow_car_takes_longer_only_in_its_work_steps() -> None:
    usual, slow = (estimated(visit(garage(), build="new"), slow) for slow in (1.0, 2.0))
    checks = 2 * usual.hours.mean - slow.hours.mean
    assert slow.stages[0].hours.mean == pytest.approx(usual.stages[0].hours.mean)
    assert 0.2 <= checks <= 0.2 + 0.3 + 0.35 + 0.1
    assert [one.probability for one in slow.outcomes] == [one.probability for one in usual.outcomes]
