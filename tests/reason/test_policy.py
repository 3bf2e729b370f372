"""The best policy against plain recursion over sets of answers, and the laws that any best policy keeps."""

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.model.library import Library
from diagtree.model.tree import Onward, Outcome, Question, Tree
from diagtree.reason import policy
from diagtree.reason.compact import compact
from diagtree.reason.levels import solve
from diagtree.reason.policy import Policy, Span, best, chosen, first_moves, mixed
from diagtree.reason.standing import Standing, answered, start
from diagtree.reason.walking import walk_cost
from tests.reason.cases import brute, brute_stop, check, of, plain, random_library

SEEDS = st.integers(0, 100_000)


@pytest.fixture
def searching(monkeypatch: pytest.MonkeyPatch) -> None:
    """Search, also where the sets of answers are few enough to list."""
    monkeypatch.setattr(policy, "_listed", lambda *_: False)


def standing(seed: int) -> Standing | None:
    """A random case before any answer; None where it has no weight."""
    here = start(of(random_library(seed)))
    return here if here.mass > 0.0 else None


def agree(found: float, wanted: float) -> bool:
    return abs(found - wanted) <= 1e-9 * max(1.0, abs(wanted))


@given(SEEDS)
@settings(max_examples=100, deadline=None)
def test_listing_agrees_with_plain_recursion(seed: int) -> None:
    here = standing(seed)
    if here is not None:
        found = best(here)
        assert found.exact
        assert agree(found.cost, brute(here))
        assert found.bound <= found.cost


@pytest.mark.usefixtures("searching")
@pytest.mark.parametrize("seed", range(30))
def test_search_closes_on_plain_recursion(seed: int) -> None:
    here = standing(seed)
    if here is not None:
        found = best(here, seconds=None)
        assert found.exact
        assert agree(found.cost, brute(here))


@pytest.mark.usefixtures("searching")
@pytest.mark.parametrize("nodes", [1, 2, 5, 12])
def test_a_search_stopped_early_brackets_the_truth(nodes: int) -> None:
    for seed in range(25):
        here = standing(seed)
        if here is not None:
            found = best(here, seconds=None, nodes=nodes)
            truth = brute(here)
            assert found.bound <= truth * (1 + 1e-12) + 1e-12
            assert found.cost >= truth * (1 - 1e-9)
            assert found.bound <= found.cost


@pytest.mark.usefixtures("searching")
@pytest.mark.parametrize("steps", [0, 3])
def test_a_search_of_few_steps_brackets_the_truth_and_is_the_same_again(steps: int) -> None:
    for seed in range(6):
        here = standing(seed)
        if here is not None:
            found = best(here, seconds=None, steps=steps)
            truth = brute(here)
            assert found.bound <= truth * (1 + 1e-12) + 1e-12
            assert found.cost >= truth * (1 - 1e-9)
            assert found == best(here, seconds=None, steps=steps)
            spans = first_moves(here, seconds=None, steps=steps)
            assert all(span.bound <= span.cost for span in spans.values())


@pytest.mark.usefixtures("searching")
def test_no_time_at_all_still_gives_a_policy_and_a_bound() -> None:
    here = standing(4)
    assert here is not None
    found = best(here, seconds=0.0)
    assert found.bound <= brute(here) * (1 + 1e-12)
    assert found.cost <= brute_stop(here) * (1 + 1e-9)


@pytest.mark.usefixtures("searching")
@pytest.mark.parametrize("seed", range(20))
def test_each_first_move_is_bracketed(seed: int) -> None:
    here = standing(seed)
    if here is None:
        return
    bracketed = first_moves(here, seconds=None, nodes=6)
    for move, cost in moves_by_hand(here).items():
        assert bracketed[move].bound <= cost * (1 + 1e-12) + 1e-12
        assert bracketed[move].cost >= cost * (1 - 1e-9)


def moves_by_hand(here: Standing) -> dict[str | None, float]:
    found: dict[str | None, float] = {None: brute_stop(here) / here.mass}
    for one in here.open_checks():
        after = sum(brute(answered(here, one, place)) for place in range(len(one.answers)))
        found[one.id] = here.price(one) + after / here.mass
    return found


@given(SEEDS)
@settings(max_examples=30, deadline=None)
def test_first_moves_agree_with_plain_recursion(seed: int) -> None:
    here = standing(seed)
    if here is None:
        return
    found, wanted = first_moves(here), moves_by_hand(here)
    assert list(found) == list(wanted)
    assert all(agree(found[move].cost, wanted[move]) for move in wanted)
    assert agree(chosen(found).cost, best(here).cost)


@given(SEEDS)
@settings(max_examples=30, deadline=None)
def test_following_the_moves_costs_what_was_promised(seed: int) -> None:
    here = standing(seed)
    if here is not None:
        assert agree(follow(here), best(here).cost * here.mass)


def follow(here: Standing) -> float:
    """The cost of doing at each set of answers what `best` says there."""
    if not here.mass > 0.0:
        return 0.0
    move = best(here).check
    if move is None:
        return brute_stop(here)
    one = here.case.checks[move]
    after = sum(follow(answered(here, one, place)) for place in range(len(one.answers)))
    return here.mass * here.price(one) + after


@given(SEEDS)
@settings(max_examples=30, deadline=None)
def test_the_tree_as_written_is_no_better(seed: int) -> None:
    here = standing(seed)
    if here is not None:
        assert walk_cost(here) >= best(here).cost * here.mass * (1 - 1e-9)


@given(SEEDS, SEEDS)
@settings(max_examples=30, deadline=None)
def test_the_order_in_the_files_does_not_matter(seed: int, shuffle: int) -> None:
    known = random_library(seed)
    here = start(of(known))
    if here.mass > 0.0:
        assert agree(best(start(of(shuffled(known, shuffle)))).cost, best(here).cost)


def shuffled(known: Library, seed: int) -> Library:
    """The same library with causes and checks in another order."""
    draw = Random(seed)
    tree = known.trees["t"]
    causes = draw.sample(list(tree.weights), len(tree.weights))
    asked = draw.sample(tree.questions, len(tree.questions))
    nodes: dict[str, Question | Outcome | Onward] = {node.id: node for node in asked}
    nodes["end"] = tree.nodes["end"]
    other = replace(tree, weights={cause: tree.weights[cause] for cause in causes}, nodes=nodes)
    return replace(known, trees={"t": other})


@given(SEEDS)
@settings(max_examples=30, deadline=None)
def test_a_check_that_says_nothing_changes_nothing(seed: int) -> None:
    known = random_library(seed)
    here = start(of(known))
    if here.mass > 0.0:
        more = with_check(known, check("idle", 0.0, {"default": (1, 1)}))
        assert agree(best(start(of(more))).cost, best(here).cost)


@given(SEEDS)
@settings(max_examples=30, deadline=None)
def test_to_be_told_the_cause_for_nothing_never_hurts(seed: int) -> None:
    known = random_library(seed)
    here = start(of(known))
    if here.mass > 0.0:
        causes = list(here.case.causes)
        rows = {cause: tuple(float(at == place) for at in range(len(causes))) for place, cause in enumerate(causes)}
        more = with_check(known, check("told", 0.0, {"default": rows[causes[0]], **rows}))
        assert best(start(of(more))).cost <= best(here).cost * (1 + 1e-9)


def with_check(known: Library, one: object) -> Library:
    """The same library with one more check at the end of its tree."""
    from diagtree.model.check import Check

    assert isinstance(one, Check)
    tree = known.trees["t"]
    last = Question(one.id, one.id, {answer.id: "end" for answer in one.answers}, "end")
    other = replace(tree, nodes={one.id: last, **tree.nodes}, start=tree.start)
    return replace(known, checks={**known.checks, one.id: one}, trees={"t": other})


def test_stopping_comes_first_among_equals() -> None:
    """A free check between two causes with one repair in common gains nothing."""
    rows = {"a": (1, 0), "b": (0, 1)}
    here = plain({"a": 1, "b": 1}, {"a": 0.0, "b": 0.0}, [check("free", 0.0, rows)], goodwill=5.0)
    assert best(here).check is None


def test_the_check_first_in_the_file_comes_first_among_equals() -> None:
    rows = {"a": (1, 0), "b": (0, 1)}
    twins = [check("one", 1.0, rows), check("two", 1.0, rows)]
    assert best(plain({"a": 1, "b": 1}, {"a": 50.0, "b": 50.0}, twins, goodwill=500.0)).check == "one"


def test_two_checks_pay_where_each_alone_does_not() -> None:
    """Only both together tell the causes apart: the answers are the same or not."""
    first = {"a": (1, 0), "b": (0, 1), "c": (1, 0), "d": (0, 1)}
    second = {"a": (1, 0), "b": (0, 1), "c": (0, 1), "d": (1, 0)}
    checks = [check("one", 1.0, first), check("two", 1.0, second)]
    here = plain(dict.fromkeys("abcd", 1.0), dict.fromkeys("abcd", 100.0), checks, goodwill=1000.0)
    found = best(here)
    assert found.cost == pytest.approx(102.0)
    assert (found.exact, found.check) == (True, "one")


def test_answers_that_cannot_happen_have_no_policy() -> None:
    here = plain({"a": 1}, {"a": 1.0}, [], goodwill=0.0)
    with pytest.raises(ValueError, match="cannot happen"):
        best(replace(here, chances=here.chances * 0.0))


def test_progress_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(policy, "_listed", lambda *_: False)
    here = standing(4)
    assert here is not None
    told: list[Policy] = []
    found = best(here, seconds=None, progress=told.append)
    assert told
    assert all(one.cost >= found.cost - 1e-9 and one.bound <= found.bound + 1e-9 for one in told)


def test_builds_are_mixed_by_their_chance() -> None:
    """A check that does not apply in a build is passed over there: that build's own best stands in."""
    early = {None: Span(100.0, 100.0), "look": Span(60.0, 60.0)}
    late = {None: Span(40.0, 40.0), "feel": Span(30.0, 25.0)}
    found = mixed([(0.75, early), (0.25, late), (0.0, {None: Span(0.0, 0.0)})])
    assert found == {None: Span(85.0, 85.0), "look": Span(52.5, 51.25), "feel": Span(52.5, 51.25)}
    assert chosen(found).check == "look"


def onward_library(seed: int) -> Library:
    """A tree that goes on in another one, which asks a check of the first again."""
    known = random_library(seed)
    first = known.trees["t"]
    asked = first.questions[-1]
    then = dict.fromkeys(asked.then, "b-end")
    second = Tree(
        "b",
        "b",
        dict(reversed(list(first.weights.items()))),
        "b-ask",
        {"b-ask": Question("b-ask", asked.check, then, "b-end"), "b-end": Outcome("b-end", tuple(first.weights)[-1:])},
    )
    nodes = {**first.nodes, "over": Onward("over", "b")}
    weights = {**first.weights, "b": next(iter(first.weights.values()))}
    return replace(known, trees={"t": replace(first, nodes=nodes, weights=weights), "b": second})


@pytest.mark.parametrize("seed", range(12))
def test_going_on_in_another_tree_is_priced_by_the_answers(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    here = start(of(onward_library(seed)))
    if not here.mass > 0.0:
        return
    wanted = recursion(here)
    found = best(here, seconds=None)
    assert found.exact
    assert agree(found.cost, wanted)
    monkeypatch.setattr(policy, "_listed", lambda *_: False)
    searched = best(here, seconds=None)
    assert searched.bound <= wanted * (1 + 1e-12) + 1e-12
    assert agree(searched.cost, wanted)


def recursion(here: Standing) -> float:
    """The least cost by recursion, each stop by the standing itself."""
    if not here.mass > 0.0:
        return 0.0
    stop = here.stop()
    assert stop is not None
    costs = [stop.loss]
    for one in here.open_checks():
        after = sum(recursion(answered(here, one, place)) for place in range(len(one.answers)))
        costs.append(here.mass * here.price(one) + after)
    return min(costs)


def test_every_set_of_answers_has_its_moves() -> None:
    here = standing(11)
    assert here is not None
    table = solve(compact(here))
    assert table is not None
    for state in range(len(table.value)):
        assert agree(min(table.moves(state).values()), float(table.value[state]))
