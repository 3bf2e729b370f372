"""Belief against plain sums in exact fractions, and the laws that it keeps."""

from fractions import Fraction
from math import log2, prod
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.model.engine import Build, Engine, Step
from diagtree.model.fault import Fault
from diagtree.model.library import Library
from diagtree.model.quantity import ALWAYS, NO_HOURS, Amount, Condition
from diagtree.model.tree import Onward, Tree
from diagtree.reason.belief import Belief, Contradiction, belief, believe, residual
from diagtree.reason.finding import Finding, plain
from diagtree.reason.tables import tables
from tests.reason.textbook import chances, check, library, tree, weigh

CAUSES = ("worn", "loose", "dry")
ROLLER = Condition((("chain", ("roller",)),))
BUILDS = (Build("early", {"chain": "roller"}, 3.0), Build("late", {"chain": "silent"}, 1.0))
percents = st.lists(st.integers(0, 9), min_size=2, max_size=2).filter(any)


@st.composite
def cases(draw: st.DrawFn) -> tuple[Library, Tree, list[Finding]]:
    """A tree of three causes, one of them of the roller build only, and some findings."""
    checks = [
        check(
            f"check-{number}", {cause: draw(percents) for cause in CAUSES}, slip=draw(st.sampled_from((0.0, 0.01, 0.5)))
        )
        for number in range(draw(st.integers(0, 4)))
    ]
    weights = {cause: draw(st.integers(0, 9)) for cause in CAUSES}
    made = library(CAUSES, checks)
    faults = {**made.faults, "worn": Fault("worn", "", "", (), (), when=ROLLER)}
    shares = st.sampled_from(((1.0, 0.0), (0.0, 1.0), (0.25, 0.75)))
    findings = [Finding(one.id, "yes", draw(shares)) for one in checks]
    other = draw(st.sampled_from((None, 0.0, 2.0)))
    return Library(checks=made.checks, faults=faults), tree(weights, other), findings


def by_sums(case: tuple[Library, Tree, list[Finding]], findings: list[Finding]) -> dict[tuple[str, str], Fraction]:
    """Share * weight * product of P(finding | cause), not normalised."""
    known, weighed, _ = case
    found = {}
    for build in BUILDS:
        weights = {cause: Fraction(amount.fixed) for cause, amount in weighed.weights.items()}
        if weighed.other:
            weights["other"] = Fraction(weighed.other)
        for cause, weight in weights.items():
            admitted = cause == "other" or known.faults[cause].when.admits(build.features)
            chance = prod((_chance(known, one, cause) for one in findings), start=Fraction(1))
            found[cause, build.id] = Fraction(build.share) * weight * chance * admitted
    return found


def _chance(known: Library, found: Finding, cause: str) -> Fraction:
    asked = known.checks[found.check]
    slip, row = Fraction(asked.slip), [Fraction(number) for number in asked.given.get(cause, (1, 1))]
    each = [(1 - slip) * number / sum(row) + slip / len(row) for number in row]
    return sum((Fraction(share) * one for share, one in zip(found.shares, each, strict=True)), Fraction(0))


@given(cases())
def test_the_joint_and_the_conflict_are_those_of_plain_sums(case: tuple[Library, Tree, list[Finding]]) -> None:
    known, weighed, findings = case
    sums = by_sums(case, findings)
    whole, before = sum(sums.values()), sum(by_sums(case, []).values())
    found = belief(known, weighed, BUILDS, findings)
    if not whole:
        assert isinstance(found, Contradiction)
        return
    assert isinstance(found, Belief)
    flat = {
        (cause, build.id): found.joint[row, column]
        for row, cause in enumerate(found.causes)
        for column, build in enumerate(found.builds)
    }
    assert flat == pytest.approx({key: float(value / whole) for key, value in sums.items()}, rel=1e-9)
    alone = prod((sum(by_sums(case, [one]).values()) / before for one in findings), start=Fraction(1))
    assert found.conflict == pytest.approx(log2(alone / (whole / before)), abs=1e-9)
    assert sum(found.by_fault.values()) == pytest.approx(1, abs=1e-12)
    assert sum(found.by_build.values()) == pytest.approx(1, abs=1e-12)


@given(cases(), st.randoms(use_true_random=False))
def test_the_order_of_answers_changes_no_bit(case: tuple[Library, Tree, list[Finding]], random: Random) -> None:
    known, weighed, findings = case
    shuffled = findings[:]
    random.shuffle(shuffled)
    one, two = (belief(known, weighed, BUILDS, found) for found in (findings, shuffled))
    if isinstance(one, Belief) and isinstance(two, Belief):
        assert one.joint.tolist() == two.joint.tolist()
        assert one.conflict == two.conflict
    else:
        assert one == two


@settings(max_examples=60)
@given(cases())
def test_a_contradiction_names_a_smallest_set(case: tuple[Library, Tree, list[Finding]]) -> None:
    """Taken alone the named answers contradict; no smaller set of answers does."""
    known, weighed, findings = case
    found = belief(known, weighed, BUILDS, findings)
    if isinstance(found, Belief):
        return
    named = [one for one in findings if one.check in found.checks]
    assert not sum(by_sums(case, named).values())
    for size in range(1 << len(findings)):
        subset = [one for place, one in enumerate(findings) if size >> place & 1]
        if len(subset) < len(named):
            assert sum(by_sums(case, subset).values())


def test_five_hundred_answers_of_tiny_chance_stay_exact() -> None:
    """Each answer has a chance of 1e-300 under one cause and 2e-300 under the other; one more tells them apart."""
    checks = [check(f"check-{n}", {"a": (1e-300, 1), "b": (1e-300, 1)}) for n in range(499)]
    last = check("last", {"a": (1e-300, 1), "b": (2e-300, 1)})
    replies = dict.fromkeys((*(one.id for one in checks), "last"), "yes")
    found = chances({"a": 1e12, "b": 1e-12}, [*checks, last], replies)
    assert found["b"] / found["a"] == pytest.approx(2e-24, rel=1e-9)
    assert sum(found.values()) == pytest.approx(1)


def test_slip_keeps_every_answer_possible() -> None:
    found = chances({"a": 1, "b": 1}, [check("look", {"a": (100, 0), "b": (100, 0)}, slip=0.01)], {"look": "no"})
    assert found == pytest.approx({"a": 0.5, "b": 0.5})


def test_without_slip_an_answer_that_all_rule_out_is_a_contradiction() -> None:
    checks = [check("look", {"a": (100, 0), "b": (100, 0)}), check("listen", {"a": (50, 50), "b": (50, 50)})]
    assert weigh({"a": 1, "b": 1}, checks, {"look": "no", "listen": "no"}) == Contradiction(("look",))


def test_no_cause_with_a_weight_contradicts_without_any_answer() -> None:
    assert weigh({"a": 0}, [], {}) == Contradiction(())


def test_a_row_of_its_kind_comes_before_the_default() -> None:
    look = check("look", {"default": (0, 100), "starved": (100, 0)})
    faults = {
        "tensioner": Fault("tensioner", "", "", (), (), kind_of="starved"),
        "guide": Fault("guide", "", "", (), ()),
    }
    found = tables(Library(checks={"look": look}, faults=faults), tree({"tensioner": 1, "guide": 1}), BUILDS, ["look"])
    assert found.rows["look"].tolist() == [[1.0, 0.0], [0.0, 1.0]]


def test_a_check_without_given_says_nothing() -> None:
    silent = check("look", {"nobody": (1, 2, 3)})
    silent = type(silent)("look", "look", silent.answers, NO_HOURS)
    found = chances({"a": 3, "b": 1}, [silent], {"look": "answer-2"})
    assert found == pytest.approx({"a": 0.75, "b": 0.25})


def test_other_sees_every_answer_equally_often_even_with_a_default_row() -> None:
    look = check("look", {"default": (90, 10)})
    found = tables(library(("a",), [look]), tree({"a": 1}, other=1), BUILDS, ["look"])
    assert found.causes == ("a", "other")
    assert found.rows["look"][:, 1].tolist() == [0.5, 0.5]


def test_weights_by_feature_are_rates_in_their_build() -> None:
    weighed = Tree(
        "t", "t", {"a": Amount(feature="chain", by_value={"roller": 1, "silent": 6}), "b": Amount(1)}, "", {}
    )
    found = belief(library(("a", "b"), []), weighed, BUILDS, ())
    assert isinstance(found, Belief)
    assert found.by_fault == pytest.approx({"a": 9 / 13, "b": 4 / 13})
    assert found.by_build == pytest.approx({"early": 6 / 13, "late": 7 / 13})


def test_a_cause_that_no_build_can_have_is_not_listed() -> None:
    faults = {"a": Fault("a", "", "", (), ()), "worn": Fault("worn", "", "", (), (), when=ROLLER)}
    found = belief(Library(faults=faults), tree({"a": 1, "worn": 1}), BUILDS[1:], ())
    assert isinstance(found, Belief)
    assert found.by_fault == {"a": 1.0}


def test_an_answer_rules_out_the_builds_in_which_its_check_does_not_apply() -> None:
    look = check("look", {"default": (50, 50)})
    look = type(look)("look", "look", look.answers, NO_HOURS, when=ROLLER, given=look.given)
    found = belief(library(("a",), [look]), tree({"a": 1}), BUILDS, [plain(look, "yes")])
    assert isinstance(found, Belief)
    assert found.by_build == {"early": 1.0, "late": 0.0}


def test_tables_can_be_made_once_for_many_beliefs() -> None:
    look = check("look", {"a": (90, 10), "b": (10, 90)})
    made = tables(library(("a", "b"), [look]), tree({"a": 1, "b": 1}), BUILDS, ["look"])
    for reply, chance in (("yes", 0.9), ("no", 0.1)):
        found = believe(made, [plain(look, reply)])
        assert isinstance(found, Belief)
        assert found.by_fault["a"] == pytest.approx(chance)


def test_residual_counts_what_the_steps_do_not_mend() -> None:
    """`other` and a tree gone on to always; a fault where a step is missing; one that needs no work never."""
    steps = {"renew": Step("renew", "", NO_HOURS), "pump": Step("pump", "", NO_HOURS, when=ROLLER)}
    engine = Engine("e", "", builds={build.id: build for build in BUILDS}, work=steps)
    repairs = {"both": ("renew", "pump"), "one": ("renew",), "none": (), "sludge": ()}
    faults = {name: Fault(name, "", "", repair, (), ALWAYS) for name, repair in repairs.items()}
    weighed = Tree(
        "t", "t", dict.fromkeys(repairs, Amount(1)), "", {"on": Onward("on", "sludge")}, other=1
    )  # `sludge` is a fault's name and the tree gone on to: the tree counts
    found = belief(Library(faults=faults), weighed, BUILDS, ())
    assert isinstance(found, Belief)
    done = dict.fromkeys(("early", "late"), frozenset({"renew"}))
    # early (3/4): both, sludge, other are left; late (1/4): its `both` needs no pump.
    assert residual(found, Library(faults=faults), engine, done) == pytest.approx(0.75 * 3 / 5 + 0.25 * 2 / 5)
