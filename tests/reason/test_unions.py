"""Many best scopes at once, by the sets of access that repairs share: against every union of repairs tried."""

import numpy as np
import pytest

from diagtree.reason import unions as module
from diagtree.reason.ahead import after_answers, losses_ahead, stop_losses
from diagtree.reason.looking import look, looks_from
from diagtree.reason.standing import Standing, answered, opened, start
from diagtree.reason.unions import unions
from tests.reason.cases import brute_stop, of, random_library
from tests.reason.test_scopes import random_standings


@pytest.mark.parametrize("seed", range(80))
def test_losses_are_those_of_the_best_union(seed: int) -> None:
    for here in random_standings(seed):
        found = unions(here.work(), here.done)
        assert found is not None
        both = found.losses(np.array([here.chances, 3.0 * here.chances]))
        assert both[0] == pytest.approx(brute_stop(here), rel=1e-12, abs=1e-9)
        assert both[1] == pytest.approx(3.0 * brute_stop(here), rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_one_belief_at_a_time_agrees_where_the_sets_are_too_many(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    here = start(of(random_library(seed)))
    beliefs = here.case.prior * np.random.default_rng(seed).random((5, len(here.chances)))
    at_once = stop_losses(here, beliefs, here.done)
    monkeypatch.setattr(module, "MOST", -1)
    again = start(of(random_library(seed)))
    assert again.case.unions(again.done) is None or not any(again.case.plain_work.repairs)
    assert stop_losses(again, beliefs, again.done) == pytest.approx(at_once, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_a_large_problem_is_cut_into_parts_that_agree(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    here = start(of(random_library(seed)))
    beliefs = here.case.prior * np.random.default_rng(seed).random((9, len(here.chances)))
    whole = stop_losses(here, beliefs, here.done)
    monkeypatch.setattr(module, "_QUIET", 1)
    assert stop_losses(here, beliefs, here.done) == pytest.approx(whole, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("seed", range(60))
def test_answers_ahead_are_those_taken_one_by_one(seed: int) -> None:
    here = start(of(random_library(seed)))
    if not here.mass > 0:
        return
    for check in here.open_checks()[:1]:
        here = max((answered(here, check, place) for place in range(len(check.answers))), key=lambda one: one.mass)
    checks, joint = after_answers(here)
    assert [check.id for check in checks] == [check.id for check in here.open_checks()]
    now, after, access = losses_ahead(here, checks, joint)
    assert now == pytest.approx(brute_stop(here), rel=1e-9, abs=1e-9)
    thens = [answered(here, check, place) for check in checks for place in range(len(check.answers))]
    assert joint.tolist() == [one.chances.tolist() for one in thens]
    assert after.tolist() == pytest.approx([brute_stop(one) for one in thens], rel=1e-9, abs=1e-9)
    for check, loss in zip(checks, access.tolist(), strict=True):
        assert loss == pytest.approx(brute_stop(opened(here, check.behind)), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_a_look_at_one_check_is_the_look_among_all(seed: int) -> None:
    here = start(of(random_library(seed)))
    if not here.mass > 0:
        return
    for found in looks_from(here):
        alone = look(here, here.case.checks[found.check])
        assert alone.worth == pytest.approx(found.worth, rel=1e-9, abs=1e-9)
        assert alone.information == pytest.approx(found.information, rel=1e-9, abs=1e-9)
        assert alone.answers == pytest.approx(found.answers)


def test_a_case_without_any_repair_leaves_the_come_backs() -> None:
    case = of(random_library(1))
    here = Standing(case, case.prior, 0)
    none = unions(type(case.plain_work)(case.prices, (None,) * len(case.causes), case.come_back), 0)
    assert none is not None
    expected = sum(chance * cost for chance, cost in zip(here.chances.tolist(), case.come_back, strict=True))
    assert none.losses(here.chances[None, :])[0] == pytest.approx(expected)
