"""A job on paper: what the code catches, and that the walk comes out of it."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.jobs.code import ALPHABET, GROUP, Damaged, seal, unseal
from diagtree.jobs.paper import FromCode, code_of, read_code
from diagtree.walk import moves
from diagtree.walk.replies import Noted
from diagtree.walk.session import Session
from tests.jobs.test_keeping import REPLIES
from tests.walk.samples import NOISE, YES_NO, library, reply, start


def swapped(code: str, at: int) -> str:
    return code[:at] + code[at + 1] + code[at] + code[at + 2 :]


def test_the_characters_have_no_look_alikes_and_are_a_field_s_worth() -> None:
    assert len(set(ALPHABET)) == 32
    assert not set("01IO") & set(ALPHABET)


@given(st.binary(max_size=200))
def test_what_is_sealed_is_unsealed(body: bytes) -> None:
    code = seal(body)
    assert unseal(code) == body
    assert unseal(f"  {code.lower().replace('-', ' ')} ") == body
    assert unseal(code.replace("-", "")) == body


def test_every_single_wrong_character_is_caught_and_its_group_named() -> None:
    """All of them, in a code of five groups: each place, each other character."""
    code = seal(b"\x05rattle")
    caught = 0
    for at, letter in enumerate(code):
        if letter == "-":
            continue
        for other in ALPHABET.replace(letter, ""):
            found = unseal(code[:at] + other + code[at + 1 :])
            assert isinstance(found, Damaged)
            assert f"Group {at // (GROUP + 2) + 1} of the code" in found.sentence
            caught += 1
    assert caught == 31 * len(code.replace("-", ""))


@given(st.binary(min_size=1, max_size=80))
def test_every_swap_of_neighbours_is_caught(body: bytes) -> None:
    """Within a group and across its end, as the characters stand without dashes."""
    plain = seal(body).replace("-", "")
    for at in range(len(plain) - 1):
        if plain[at] != plain[at + 1]:
            assert isinstance(unseal(swapped(plain, at)), Damaged)


@given(st.binary(min_size=12, max_size=80), st.data())
def test_groups_that_changed_places_or_are_missing_are_caught(body: bytes, data: st.DataObject) -> None:
    groups = seal(body).split("-")
    at = data.draw(st.integers(0, len(groups) - 2))
    turned = [*groups[:at], groups[at + 1], groups[at], *groups[at + 2 :]]
    if turned != groups:
        assert isinstance(unseal("-".join(turned)), Damaged)
    assert isinstance(unseal("-".join(groups[:at] + groups[at + 1 :])), Damaged)
    cut = unseal("-".join(groups[: at + 1]))
    assert isinstance(cut, Damaged)
    assert "or the code goes on behind it" in cut.sentence


@pytest.mark.parametrize("text", ["", "  - -", "0" * 6, "Ä", "\x1b[31m", "A" * 5000, "A" * 100_000, "\N{SNOWMAN}" * 12])
def test_what_is_no_code_is_refused_with_a_sentence(text: str) -> None:
    found = unseal(text)
    assert isinstance(found, Damaged)
    assert found.sentence.endswith(".")
    assert found.sentence.isprintable()


def test_a_group_with_a_character_too_few_is_named() -> None:
    groups = seal(b"a longer body than that").split("-")
    groups[2] = groups[2][:-1]
    found = unseal("-".join(groups))
    assert isinstance(found, Damaged)
    assert found.sentence == f"Group 3 of the code, {groups[2]}, has 5 characters, and not 6. Look at it again."


def test_random_damage_is_hardly_ever_taken() -> None:
    """Whatever is written: two bytes over the whole besides a check character in each group."""
    chance = random.Random(5)
    body = bytes(range(40))
    plain = seal(body).replace("-", "")
    taken = 0
    for _ in range(3000):
        letters = list(plain)
        for at in chance.sample(range(len(letters)), 4):
            letters[at] = chance.choice(ALPHABET)
        found = unseal("".join(letters))
        taken += not isinstance(found, Damaged) and found != body
    assert taken == 0


# A walk on paper


def walked(session: Session, texts: list[str]) -> Session:
    for text in texts:
        after = moves.answer(session, text)
        session = after if isinstance(after, Session) else session
    return session


@settings(max_examples=150, deadline=None)
@given(st.lists(st.sampled_from(REPLIES), max_size=9))
def test_the_walk_goes_on_at_another_bench(texts: list[str]) -> None:
    """All that is known and where it leads; notes stay with the job."""
    session = walked(start(NOISE, "rattle"), texts)
    found = read_code(library(NOISE), code_of(session))
    assert isinstance(found, FromCode), found
    other = found.replayed.session
    assert found.replayed.misfits == ()
    assert not found.changed
    assert other.known.findings == session.known.findings
    assert other.known.unknown == session.known.unknown
    assert other.known.features == session.known.features
    assert other.known.builds == session.known.builds
    assert other.here == session.here
    assert not any(isinstance(one, Noted) for one in other.replies)


def test_what_was_known_from_the_start_goes_with_it() -> None:
    session = moves.preset(start(NOISE, "rattle", chain="silent"), {"oil-level": "ok"})
    assert isinstance(session, Session)
    found = read_code(library(NOISE), code_of(reply(session, "14 psi")))
    assert isinstance(found, FromCode)
    other = found.replayed.session
    assert (len(other.preset), len(other.replies), other.case.known) == (1, 1, {"chain": "silent"})
    assert other.known.findings["pressure"].value == reply(session, "14 psi").known.findings["pressure"].value


def test_a_code_is_short() -> None:
    """A tree, an engine and seven replies: a line and a half of six characters each."""
    session = reply(start(NOISE, "rattle"), "ok", "120", "P0016+P0018", "build=late", "good", "broken", "free")
    assert len(code_of(session).split("-")) <= 17


def test_another_library_is_told_and_what_no_longer_fits_is_shown() -> None:
    code = code_of(reply(start(NOISE, "rattle"), "ok", "120", "-"))
    same = read_code(library(NOISE.replace("hours: 0.5\n", "hours: 0.7\n")), code)
    assert isinstance(same, FromCode)
    assert same.changed
    assert same.replayed.misfits == ()
    fewer = NOISE.replace("stored-codes", "trouble-codes")
    found = read_code(library(fewer), code)
    assert isinstance(found, FromCode)
    assert len(found.replayed.misfits) == 1
    assert "is no check of this library" in found.replayed.misfits[0].why


def test_a_code_of_another_library_is_refused() -> None:
    found = read_code(library(YES_NO), code_of(reply(start(NOISE, "rattle"), "ok")))
    assert found == Damaged("The code is of a tree that this library does not have. Name its library with --library.")


@given(st.binary(max_size=60))
def test_a_code_that_is_right_and_holds_nonsense_is_refused_or_read(body: bytes) -> None:
    found = read_code(library(NOISE), seal(body))
    assert isinstance(found, Damaged | FromCode)
