"""Where replies lead, and the laws of taking them back."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.reason.belief import Belief
from diagtree.walk import moves
from diagtree.walk.answers import Refused
from diagtree.walk.replies import Case
from diagtree.walk.result import believing, result
from diagtree.walk.session import Session, acknowledge, begin, passed
from diagtree.walk.warnings import due, opening, standing
from tests.walk.samples import NOISE, YES_NO, library, refusal, reply, start

REPLIES = (
    "1", "2", "3", "low", "ok", "?", "back", "95", "104 kPa", "14 psi", "-", "P0016+P0018", "both-banks", "worn",
    "good", "broken", "whole", "free", "stiff", "chain=roller", "chain=silent", "build=late",
    "guide=broken", "plates=good",
    "crank-by-hand=free", "again 97", "oil-level=?", "nonsense", "", "pressure=3 N m",
)  # fmt: skip
replies = st.lists(st.sampled_from(REPLIES), max_size=9)


def taken(session: Session, texts: list[str]) -> Session:
    """The walk after those of the replies that are taken."""
    for text in texts:
        after = moves.answer(session, text)
        session = after if isinstance(after, Session) else session
    return session


def nodes(session: Session) -> list[str]:
    """The path."""
    return [stop.node.id for stop in session.route.stops]


@settings(max_examples=200, deadline=None)
@given(replies, st.sampled_from(REPLIES))
def test_back_undoes_whatever_was_replied(before: list[str], text: str) -> None:
    session = taken(start(NOISE, "rattle"), before)
    after = moves.answer(session, text)
    if isinstance(after, Session) and text != "back":
        assert moves.back(after) == session


@settings(max_examples=100, deadline=None)
@given(replies)
def test_a_walk_never_stands_where_it_cannot_say_why(texts: list[str]) -> None:
    session = taken(start(NOISE, "rattle"), texts)
    assert session.here.passing in {"asked", "outcome", "no-way-on"}
    assert (session.check is not None) == (session.here.passing == "asked")
    assert session.known.builds
    assert {build.id for build in session.known.builds} <= {build.id for build in session.known.identified}
    assert len(set(nodes(session))) == len(session.route.stops)


@settings(max_examples=100, deadline=None)
@given(replies)
def test_answers_given_before_lead_where_they_lead_when_typed(texts: list[str]) -> None:
    typed = taken(start(NOISE, "rattle"), texts)
    given_before = {name: _as_text(typed, name) for name in typed.known.findings}
    given_before |= dict.fromkeys(typed.known.unknown, "?")
    fresh = start(NOISE, "rattle", **typed.known.features)
    again = moves.preset(fresh, given_before)
    assert isinstance(again, Session)
    if len(again.known.identified) == len(typed.known.identified):
        assert again.known.findings == typed.known.findings
        assert nodes(again) == nodes(typed)
        one, two = believing(typed), believing(again)
        assert isinstance(one, Belief)
        assert isinstance(two, Belief)
        assert one.joint.tolist() == two.joint.tolist()
        assert one.conflict == two.conflict


def _as_text(session: Session, name: str) -> str:
    finding = session.known.findings[name]
    if finding.codes is not None:
        return "+".join(finding.codes)
    return finding.answer if finding.value is None else repr(finding.value)


@settings(max_examples=100, deadline=None)
@given(st.permutations(["oil-level=ok", "pressure=104", "stored-codes=P0016", "guide=whole", "chain=silent"]))
def test_the_order_of_replies_changes_nothing(texts: list[str]) -> None:
    session = reply(start(NOISE, "rattle"), *texts)
    straight = reply(start(NOISE, "rattle"), *sorted(texts))
    assert session.known == straight.known
    assert session.route == straight.route
    one, two = believing(session), believing(straight)
    assert isinstance(one, Belief)
    assert isinstance(two, Belief)
    assert one.joint.tolist() == two.joint.tolist()


def test_a_walk_ends_at_an_outcome() -> None:
    session = reply(start(NOISE, "rattle"), "low")
    assert session.outcome
    assert session.outcome.faults == ("oil-low",)
    assert refusal(session, "low") == "The walk has ended here. Go back to change an answer."


def test_a_number_on_screen_is_an_answer_and_an_id_comes_first() -> None:
    assert nodes(reply(start(NOISE, "rattle"), "1")) == ["level", "top-up"]
    swapped = YES_NO.replace('{"yes": Lit, "no": Dark}', '{"2": Lit, "1": Dark}')
    swapped = swapped.replace('{"yes": bulb, "no": fuse}', '{"2": bulb, "1": fuse}')
    assert nodes(reply(start(swapped, "lamp"), "2")) == ["lit", "bulb"]


def test_going_on_in_another_tree_keeps_all_answers_and_asks_no_check_twice() -> None:
    session = reply(start(NOISE, "rattle"), "ok", "150", "P0016+P0018")
    assert nodes(session) == ["level", "gauge", "codes", "on", "level-again", "look"]
    assert session.tree.id == "inside"
    assert [stop.passing for stop in session.route.stops][-3:] == ["onward", "answered", "asked"]
    assert set(session.known.findings) == {"oil-level", "pressure", "stored-codes"}


def test_a_check_that_no_possible_build_has_takes_else_by_itself() -> None:
    before = reply(start(NOISE, "rattle", chain="roller"), "ok", "150")
    session = reply(before, "-")
    assert session.outcome
    session = reply(before, "P0016")
    assert session.check
    assert session.check.id == "guide"
    assert [stop.passing for stop in passed(before, session)] == ["onward", "answered", "does-not-apply"]


def test_a_check_of_one_build_rules_the_others_out() -> None:
    session = reply(start(NOISE, "rattle"), "plates=worn")
    assert [build.id for build in session.known.builds] == ["late"]
    assert refusal(session, "chain=roller").startswith("No build with chain roller fits")


def test_an_answer_to_a_check_that_the_known_build_lacks_is_refused() -> None:
    session = start(NOISE, "rattle", chain="roller")
    refused = moves.preset(session, {"plates": "worn"})
    assert refused == Refused("The check 'plates' does not apply to the build 'early'.")


def test_cannot_tell_takes_else() -> None:
    session = reply(start(NOISE, "rattle"), "?")
    assert nodes(session) == ["level", "gauge"]
    assert session.known.unknown == {"oil-level"}


def test_cannot_tell_without_else_names_the_cheapest_other_checks() -> None:
    session = reply(start(NOISE, "rattle"), "ok")
    assert refusal(session, "?") == (
        "The tree has no way on from here without this answer. Other checks still open, cheapest first: "
        "'stored-codes' (Which codes are stored?). Give one as CHECK=ANSWER."
    )


def test_a_check_that_an_answer_forbids_is_passed_or_refused() -> None:
    """No path of a sound tree meets one; an answer from before the walk can."""
    session = reply(start(NOISE, "inside"), "pressure=50", "ok", "good", "broken")
    assert session.outcome
    assert session.outcome.id == "both"
    assert session.route.stops[-2].passing == "never-after"
    without_else = NOISE.replace("stiff: guide-only}, else: both}", "stiff: guide-only}}")
    stuck = reply(start(without_else, "inside"), "pressure=50", "ok", "good", "broken")
    assert stuck.here.passing == "no-way-on"
    assert refusal(stuck, "free") == "The tree has no way on from here. Go back to change an answer."
    assert refusal(stuck, "crank-by-hand=free") == (
        "The check 'crank-by-hand' is not done after 'pressure' has shown 'low'."
    )


def test_an_earlier_answer_can_be_given_anew() -> None:
    session = reply(start(NOISE, "rattle"), "ok", "150", "oil-level=low")
    assert nodes(session) == ["level", "top-up"]
    assert nodes(reply(session, "back")) == ["level", "gauge", "codes"]


def test_a_reading_near_a_limit_is_a_close_call() -> None:
    assert reply(start(NOISE, "rattle"), "ok", "104").close_calls == ("pressure",)
    assert reply(start(NOISE, "rattle"), "ok", "109").close_calls == ()


def test_a_reading_taken_again_replaces_the_first() -> None:
    session = reply(start(NOISE, "rattle"), "ok", "104", "again 95")
    assert session.known.findings["pressure"].values == (95.0,)
    assert session.outcome


def test_independent_repeats_count_together() -> None:
    independent = NOISE.replace("uncertainty: 10}", "uncertainty: 10}\n    repeats: independent")
    session = reply(start(independent, "rattle"), "ok", "104", "again 105", "again 106")
    assert session.known.findings["pressure"].values == (104.0, 105.0, 106.0)
    assert session.known.findings["pressure"].value == pytest.approx(105)
    assert session.close_calls == ()  # U / sqrt(3) is 5.8


def test_the_engine_moves_the_bands() -> None:
    moved = NOISE.replace(
        "builds:\n  early", "limits: {pressure: {low: {below: 200}, ok: {from: 200}}}\nbuilds:\n  early"
    )
    assert reply(start(moved, "rattle"), "ok", "150").outcome
    assert not reply(start(NOISE, "rattle"), "ok", "150").outcome


def test_stop_cautions_wait_until_they_are_acknowledged_in_each_place() -> None:
    session = start(NOISE, "rattle")
    assert [one.caution.id for one in standing(session)] == ["interference", "hot-engine"]
    assert [one.caution.id for one in due(session)] == ["interference"]
    session = acknowledge(session, due(session)[0].keys)
    assert due(session) == ()
    session = reply(session, "ok", "150")
    assert due(session) == ()
    session = reply(session, "P0016")
    assert session.check
    assert session.check.id == "plates"
    assert [one.caution.id for one in due(session)] == ["interference"]
    assert "silent-only" not in [one.caution.id for one in standing(session)]


def test_a_question_says_what_it_newly_opens() -> None:
    session = reply(start(NOISE, "rattle"), "ok", "150", "P0016")
    assert [step.id for step in opening(session)] == ["cover-off"]
    session = reply(session, "good")
    assert session.opened == {"plates": ("cover-off",)}
    assert opening(session) == ()


def test_the_result_of_an_outcome_has_scope_and_residual() -> None:
    session = reply(start(NOISE, "rattle"), "ok", "150", "P0016", "worn")
    found = result(session)
    assert found.scope
    assert {line.entry.step.id for line in found.scope.steps} == {"cover-off", "renew-chain"}
    assert isinstance(found.belief, Belief)
    # The chain is renewed: what is left is the guide, and what is not in the tree.
    left = found.belief.by_fault["guide-broken"] + found.belief.by_fault["other"]
    assert found.residual == pytest.approx(left)


def test_a_library_without_engine_has_outcomes_without_a_scope() -> None:
    found = result(reply(start(YES_NO, "lamp"), "yes"))
    assert found.scope is None
    assert found.residual is None


def test_nothing_to_take_back() -> None:
    assert refusal(start(NOISE, "rattle"), "back") == "There is nothing to take back: this is where the walk began."


def test_a_ring_of_nodes_does_not_hang_a_walk() -> None:
    """`vet` reports it; a walk meets it all the same where nobody vetted."""
    made = library(
        NOISE.replace("look: {check: plates, then: {worn: chain", "look: {check: plates, then: {worn: level-again")
    )
    engine = made.engines["bench-v6"]
    session = begin(Case(made, made.trees["rattle"], engine, tuple(engine.builds.values()), {}))
    assert isinstance(session, Session)
    assert reply(session, "ok", "150", "P0016", "worn").here.passing == "no-way-on"


def test_a_feature_and_a_build_may_be_typed_in_capitals() -> None:
    assert known_builds("chain=Silent") == ["late"]
    assert known_builds("Build=LATE") == ["late"]


def known_builds(text: str) -> list[str]:
    return [build.id for build in reply(start(NOISE, "rattle"), text).known.builds]


def test_a_build_that_does_not_fit_is_named_as_one() -> None:
    known = reply(start(NOISE, "rattle"), "chain=roller")
    assert moves.answer(known, "build=late") == Refused(
        "The build 'late' does not fit what is known so far. Take the doubtful answer back first."
    )
