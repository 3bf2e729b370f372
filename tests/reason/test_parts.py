"""To be told a group of causes bounds every order from below; the bound against brute force."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from diagtree.graph.serving import builds, served
from diagtree.reason import parts as module
from diagtree.reason.case import Case, case
from diagtree.reason.parts import Parts, settled
from diagtree.reason.policy import best
from diagtree.reason.standing import Standing, answered, start
from diagtree.source.reader import read
from tests.oracle.libraries import random_library as oracle_library
from tests.reason.cases import brute, of, random_library
from tests.reason.test_policy import onward_library, recursion
from tests.reason.test_walking import THREE_TREES

FOREIGN = Path(__file__).parents[1] / "foreign"


def joined(here: Standing, most: int = 10**9) -> Parts:
    found = Parts(here)
    found.join(lambda _: True, most)
    return found


@pytest.mark.parametrize("seed", range(120))
def test_groups_are_below_the_best_order(seed: int) -> None:
    here = start(of(random_library(seed)))
    if not here.mass > 0.0:
        return
    truth = brute(here)
    alone, together = Parts(here).bound, joined(here).bound
    assert alone <= together * (1 + 1e-12) + 1e-12
    assert together <= truth * (1 + 1e-12) + 1e-12


@pytest.mark.parametrize("seed", range(40))
def test_groups_too_large_to_list_stay_apart(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With few sets of answers a group the bound is lower, and below still, also after an answer."""
    monkeypatch.setattr(module, "_SIZES", (9, 27))
    monkeypatch.setattr(module, "_TURN", (400, 400))
    here = start(of(random_library(seed)))
    if not here.mass > 0.0:
        return
    one = here.open_checks()[0]
    for then in (here, *(answered(here, one, place) for place in range(len(one.answers)))):
        if then.mass > 0.0:
            found = joined(then)
            assert sorted(at for group in found.groups for at in group) == np.nonzero(then.chances > 0.0)[0].tolist()
            assert found.bound <= brute(then) * (1 + 1e-12) + 1e-12


def test_some_bounds_rise_and_one_group_of_all_is_exact() -> None:
    """So that the tests above compare something."""
    here = [one for seed in range(60) if (one := start(of(random_library(seed)))).mass > 0.0]
    risen = [one for one in here if joined(one).bound > Parts(one).bound * (1 + 1e-6)]
    assert len(risen) > 10
    whole = [one for one in risen if len(joined(one).groups) == 1]
    assert whole
    assert all(joined(one).bound == pytest.approx(brute(one), rel=1e-9, abs=1e-9) for one in whole)


def sets(here: Standing) -> Iterator[Standing]:
    """Every set of answers that can follow."""
    yield here
    seen = set()
    waiting = [here]
    while waiting:
        now = waiting.pop()
        for one in now.open_checks():
            for place in range(len(one.answers)):
                then = answered(now, one, place)
                key = frozenset((name, found.answer) for name, found in then.findings.items())
                if then.mass > 0.0 and key not in seen:
                    seen.add(key)
                    waiting.append(then)
                    yield then


def onward_cases() -> Iterator[Case]:
    library = read(str(FOREIGN / "pump")).library
    for tree in library.trees.values():
        for engine in served(library, tree):
            yield from (case(library, tree, engine, build) for build in builds(engine))
    for seed in range(12):
        yield of(onward_library(seed))
        known = onward_library(seed)  # the same where every answer can come, so that going on is never for nothing
        yield of(replace(known, checks={name: replace(one, slip=0.05) for name, one in known.checks.items()}))


def test_going_on_never_costs_less_than_where_its_price_is_settled() -> None:
    priced = 0
    for one in onward_cases():
        here = start(one)
        if not one.onward or not here.mass > 0.0:
            continue
        price = settled(here).case.prices[len(one.steps) :]
        priced += any(price)
        for at, then in enumerate(sets(here)):
            if at > 300:
                break
            work = then.work()
            assert all(
                cost <= true * (1 + 1e-12) for cost, true in zip(price, work.prices[len(one.steps) :], strict=True)
            )
            back = settled(here).case.come_back
            assert all(cost <= true * (1 + 1e-12) for cost, true in zip(back, work.come_back, strict=True))
    assert priced


@pytest.mark.parametrize(("slip", "prices"), [(0.01, [50.0, 60.0, None]), (0, [0.0, 0.0, None])])
def test_the_price_of_going_on_by_hand(slip: float, prices: list[float | None], tmp_path: Path) -> None:
    """The cheapest repair at an end; nothing where answers may rule out all that a tree, or one after it, knows."""
    (tmp_path / "three.yaml").write_text(THREE_TREES.replace("slip: 0", f"slip: {slip}"), encoding="utf-8")
    library = read(str(tmp_path)).library
    [engine] = library.engines.values()
    [build] = builds(engine)
    for name, price in zip(("first", "second", "third"), prices, strict=True):
        one = case(library, library.trees[name], engine, build)
        assert settled(start(one)).case.prices[len(one.steps) :] == (() if price is None else (price,))


@pytest.mark.parametrize("slip", [0.0, 0.05])
@pytest.mark.parametrize("seed", range(12))
def test_groups_are_below_where_a_tree_goes_on(seed: int, slip: float) -> None:
    known = onward_library(seed)
    known = replace(known, checks={name: replace(one, slip=slip) for name, one in known.checks.items()})
    here = start(of(known))
    if here.mass > 0.0:
        assert joined(here).bound <= recursion(here) * (1 + 1e-12) + 1e-12


@pytest.mark.parametrize("seed", [1, 3, 15, 20])
def test_groups_are_below_in_libraries_with_builds_and_noise(seed: int, tmp_path: Path) -> None:
    (tmp_path / "library.yaml").write_text(oracle_library(seed), encoding="utf-8")
    library = read(str(tmp_path)).library
    for tree in library.trees.values():
        for engine in served(library, tree):
            for build in builds(engine):
                here = start(case(library, tree, engine, build))
                found = best(here, None)
                assert found.exact
                assert joined(here, 3_000).bound / here.mass <= found.cost * (1 + 1e-12)
