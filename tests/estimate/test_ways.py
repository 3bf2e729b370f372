"""Ways through trees that continue, checks that are never asked after others, answers known off the path."""

from fractions import Fraction
from typing import Any

import pytest

from diagtree.estimate.estimate import TooMany, Visit, estimate
from diagtree.graph.serving import engines
from diagtree.reason.belief import Contradiction
from tests.estimate.garage import GARAGE, estimated, garage, visit
from tests.oracle import estimating as oracle
from tests.oracle.reading import read_text

KNOWN: list[dict[str, str]] = [
    {},
    {"listen": "both"},
    {"listen": "back"},
    {"spin": "stiff"},
    {"look": "rough"},
    {"look": "fine", "tap": "dull"},
    {"tap": "dull"},
    {"tap": "ring", "listen": "back", "spin": "free"},
]


def want(known: dict[str, str], features: dict[str, str], tree: str = "outer", slow: str = "1") -> list[Any]:
    library = read_text(GARAGE)
    (engine,) = library.engines.values()
    return list(oracle.paths(library, engine, tree, dict(known), features, slow))


# Nobody taps a new one: the check does not apply there, and the walk refuses its answer.
CARS = [(build, known) for build in ("", "old", "new") for known in KNOWN if not (build == "new" and "tap" in known)]


@pytest.mark.parametrize(("build", "known"), CARS, ids=str)
@pytest.mark.parametrize("tree", ["outer", "inner"])
@pytest.mark.filterwarnings("error")
def test_every_way_is_followed_by_the_rules_of_the_walk(build: str, known: dict[str, str], tree: str) -> None:
    found = estimated(visit(garage(), tree, build, known=known), slow=1.5)
    frame = {"old": {"frame": "steel"}, "new": {"frame": "cast"}, "": {}}[build]
    every = want(known, frame, tree, "1.5")
    outcomes = oracle.outcomes(read_text(GARAGE), every)
    got = {frozenset(one.faults): one for one in found.outcomes}
    assert set(got) == set(outcomes)
    for faults, one in outcomes.items():
        end = got[faults]
        assert (end.probability, end.residual) == pytest.approx((one["probability"], one["residual"]), abs=1e-12)
        assert (end.hours, end.parts, end.cost) == pytest.approx((one["hours"], one["parts"], one["cost"]), abs=1e-9)
    for at, stage in enumerate(found.stages):
        assert stage.hours.mean == pytest.approx(sum(p.chance * float(p.hours(at)) for p in every), abs=1e-9)
        assert stage.settled == pytest.approx(sum(p.chance for p in every if p.last == at), abs=1e-12)


def test_what_is_known_off_the_path_is_paid_for_all_the_same() -> None:
    """The wheel was seen: access, check and seal are in each way, also where the tree never asks it."""
    found = estimated(visit(garage(), "inner", "new", known={"look": "fine", "spin": "stiff"}))
    (end,) = found.outcomes
    assert end.faults == ("dry",)
    assert end.hours == pytest.approx(0.3 + (0.1 + 1.2 + 0.8) / 6 + (0.5 + 4 + 2.5) / 6)
    assert end.parts == pytest.approx(12.5 + 0.5 * 8)
    assert found.stages[1].reached == found.stages[1].settled == pytest.approx(1)
    assert found.stages[2].reached == 0


def test_answers_that_a_check_is_never_asked_after_lead_to_else() -> None:
    """After `dull` nobody spins it, whether it was tapped on the way or before: the tree goes on in the other one."""
    found = estimated(visit(garage(), known={"tap": "dull", "listen": "back"}))
    assert [one.faults for one in found.outcomes] == [("cracked",)]
    assert found.hours.mean == pytest.approx(0.2 + 0.1 + 2.25 + (0.5 + 4 + 2.5) / 6)


def test_a_known_answer_that_leaves_no_way_on_ends_without_an_outcome() -> None:
    text = GARAGE.replace("{free: wheel, stiff: on}, else: on}", "{free: wheel, stiff: on}}")
    found = estimated(visit(garage(text), known={"tap": "dull", "listen": "back"}))
    (end,) = found.outcomes
    assert end.faults == ()
    assert (end.probability, end.hours) == pytest.approx((1, 0.3))
    assert end.residual == pytest.approx(1)
    assert (found.stages[0].settled, found.stages[0].found) == pytest.approx((1, 0))


def test_a_check_that_cannot_be_told_takes_else() -> None:
    told = estimated(visit(garage(), "inner", "old"))
    untold = estimated(visit(garage(), "inner", "old", frozenset({"spin", "tap"})))
    assert {one.faults for one in untold.outcomes} == {("dry",), ("worn",)}
    assert untold.hours.spread != told.hours.spread


def test_answers_that_contradict_one_another_are_said_to() -> None:
    text = GARAGE.replace("    hours: 0.2\n", "    hours: 0.2\n    slip: 0\n").replace(
        "default: {front: 40, back: 30, both: 30}", "default: {front: 0, back: 70, both: 30}"
    )
    text = text.replace("loose: {front: 80, back: 10, both: 10}", "loose: {front: 0, back: 90, both: 10}")
    text = text.replace("inner: {front: 10, back: 20, both: 70}", "inner: {front: 0, back: 30, both: 70}")
    library = garage(text.replace("other: 10", "other: 0"))
    assert estimate(visit(library, known={"listen": "front"})) == Contradiction(("listen",))


def test_too_many_ways_are_given_up_with_their_number() -> None:
    found = estimate(visit(garage()), most=5)
    assert isinstance(found, TooMany)
    assert found.states > 5


def test_joining_ways_are_followed_as_one() -> None:
    """Thirty questions in a row, three answers each, all to the next: 3^30 ways, one bill for each outcome."""
    checks = "\n".join(
        f"  c{at}: {{ask: Q?, hours: {[0.1, '[0.1, 0.2, 0.4]'][at % 2]}, answers: {{a: A, b: B, c: C}},"
        f" given: {{default: {{a: 1, b: 2, c: 3}}, f: {{a: 3, b: 2, c: 1}}}}}}"
        for at in range(30)
    )
    nodes = "\n".join(
        f"  n{at}: {{check: c{at}, then: {{a: n{at + 1}, b: n{at + 1}, c: {'end' if at == 29 else f'n{at + 1}'}}}}}"
        for at in range(30)
    )
    text = (
        f"checks:\n{checks}\n---\nfaults:\n  f: {{title: F, why: W, repair: [], verify: [V]}}\n"
        "  g: {title: G, why: W, repair: [], verify: [V]}\n---\n"
        f"tree: long\ntitle: Long\nweights: {{f: 1, g: 1}}\nother: 0\nstart: n0\nnodes:\n{nodes}\n"
        "  n30: {outcome: f}\n  end: {outcome: g}\n"
    )
    library = garage(text)
    (engine,) = engines(library)
    found = estimated(Visit(library, library.trees["long"], engine, tuple(engine.builds.values())))
    assert found.hours.mean == pytest.approx(15 * 0.1 + 15 * (0.1 + 0.8 + 0.4) / 6)
    assert [one.faults for one in found.outcomes] == [("f",), ("g",)]
    share = float(Fraction(99, 100) * Fraction(1, 2) * (Fraction(1, 6) + Fraction(3, 6)) + Fraction(1, 300))
    assert found.outcomes[1].probability == pytest.approx(share)
