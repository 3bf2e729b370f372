"""What is put right or added on the way: answers told anew, notes, other trees."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.report.question import told
from diagtree.report.walk import as_data, as_text
from diagtree.report.way import off_lines, way_lines
from diagtree.walk import changes, moves
from diagtree.walk.answers import Refused
from diagtree.walk.result import result
from diagtree.walk.session import Session
from tests.walk.samples import NOISE, refusal, reply, start
from tests.walk.test_session import REPLIES, nodes, taken

FURTHER = (
    *REPLIES, "revise 1 low", "revise 1 ok", "revise oil-level=?", "revise pressure 150", "revise chain silent",
    "revise 2 ?", "revise", "jump inside", "jump rattle", "note drips", "note oil-level: seeps",
)  # fmt: skip
replies = st.lists(st.sampled_from(FURTHER), max_size=9)


@settings(max_examples=200, deadline=None)
@given(replies, st.sampled_from(FURTHER))
def test_back_undoes_what_was_changed_too(before: list[str], text: str) -> None:
    session = taken(start(NOISE, "rattle"), before)
    after = moves.answer(session, text)
    if isinstance(after, Session) and text != "back":
        assert moves.back(after) == session
        assert after.known.builds


@settings(max_examples=100, deadline=None)
@given(replies)
def test_what_was_given_can_be_told_anew_as_it_was(texts: list[str]) -> None:
    """Then nothing changes."""
    session = taken(start(NOISE, "rattle"), texts)
    for one in changes.given(session):
        if one.check and one.check in session.known.findings:
            finding = session.known.findings[one.check]
            text = finding.answer if finding.value is None else f"{finding.value!r}"
            if finding.codes is not None:
                text = "+".join(finding.codes) or "-"
            after = changes.revised(session, one, text)
            assert isinstance(after, Session)
            assert after.known == session.known
            assert after.route == session.route


def test_an_answer_told_anew_replaces_every_repeat() -> None:
    independent = NOISE.replace("uncertainty: 10}", "uncertainty: 10}\n    repeats: independent")
    session = reply(start(independent, "rattle"), "ok", "104", "again 105", "revise pressure 150")
    assert session.known.findings["pressure"].values == (150.0,)
    assert reply(session, "back").known.findings["pressure"].values == (104.0, 105.0)


def test_an_answer_that_the_new_one_forbids_is_named_and_counts() -> None:
    before = reply(start(NOISE, "inside"), "pressure=150", "ok", "good", "broken", "free")
    after = reply(before, "revise pressure 50")
    assert "crank-by-hand" in after.known.findings
    assert any(line.startswith("This does not fit any more: Does the crank turn") for line in told(before, after))


def test_a_jump_keeps_the_way_so_far_and_asks_no_check_twice() -> None:
    session = reply(start(NOISE, "rattle"), "ok", "jump inside")
    assert nodes(session) == ["level", "gauge", "level-again", "look"]
    assert [stop.passing for stop in session.route.stops] == ["answered", "turned", "answered", "asked"]
    there = reply(session, "good", "whole", "jump rattle")
    assert there.tree.id == "rattle"
    assert nodes(there)[-2:] == ["level", "gauge"]
    assert set(there.known.findings) == {"oil-level", "plates", "guide"}


def test_a_tree_that_was_left_is_followed_by_what_was_known_then() -> None:
    session = reply(start(NOISE, "rattle"), "ok", "jump inside", "pressure=50")
    assert [(stop.tree.id, stop.node.id) for stop in session.route.stops][:2] == [
        ("rattle", "level"),
        ("rattle", "gauge"),
    ]
    assert session.tree.id == "inside"


def test_only_trees_that_serve_the_engine_can_be_jumped_to(monkeypatch: pytest.MonkeyPatch) -> None:
    session = start(NOISE, "rattle")
    assert [tree.id for tree in changes.elsewhere(session)] == ["inside"]
    monkeypatch.setattr(changes, "serves", lambda *_: False)
    assert changes.elsewhere(session) == ()
    said = "'inside' is no tree to go on in here. No other tree suits this engine."
    assert refusal(session, "jump inside") == said


def test_notes_stand_on_answers_and_can_be_taken_away() -> None:
    session = reply(start(NOISE, "rattle"), "ok", "note seeps at the rear", "150", "note oil-level: dry")
    assert session.known.notes == {"oil-level": "dry"}
    assert way_lines(session)[0] == "Where does the oil stand on the dipstick? Between the marks. Note: dry"
    assert as_data(result(session))["notes"] == {"oil-level": "dry"}
    assert "Notes:\n  Where does the oil stand on the dipstick? dry\n" in as_text(result(session))
    gone = changes.noted(session, "oil-level", "")
    assert isinstance(gone, Session)
    assert gone.known.notes == {}


@pytest.mark.parametrize("text", ["note \x1b[31m red", "note a\u202eb", "note tab\there"])
def test_a_note_holds_nothing_that_a_terminal_would_obey(text: str) -> None:
    session = reply(start(NOISE, "rattle"), "ok", text)
    assert all(note.isprintable() for note in session.known.notes.values())


def test_what_is_off_the_car_is_told() -> None:
    session = reply(start(NOISE, "rattle"), "ok", "150", "P0016")
    assert off_lines(session) == []
    assert off_lines(reply(session, "good")) == ["Take off and refit the cover"]


def test_a_build_told_anew_is_refused_where_it_was_known_before_the_walk() -> None:
    session = reply(start(NOISE, "rattle", chain="roller"), "chain=roller")
    assert moves.answer(session, "revise chain silent") == Refused(
        "No build with chain silent fits what was known before the walk."
    )
