"""Trouble codes as typed, as bytes and in a pasted report."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.measure.codes import (
    decode,
    encode,
    find_codes,
    matching_answer,
    parse_code,
    parse_codes,
    read_codes,
    scan_codes,
)
from diagtree.measure.trouble import Trouble

codes = st.integers(0, 0xFFFF).map(decode)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("P4000", "'P4000' is no trouble code: its second character must be a digit from 0 to 3."),
        ("PO016", "'PO016' is no trouble code: its second character must be a digit from 0 to 3."),
        ("X0016", "'X0016' is no trouble code: it must start with P, C, B or U."),
        ("P001", "'P001' is no trouble code: it needs five characters, such as P0016."),
        ("P00G6", "'P00G6' is no trouble code: its last three characters must be digits or letters from A to F."),
        ("P0016-00", "'P0016-00' has a failure type behind the code. Type P0016 alone."),
        ("", "'' is no trouble code: nothing was typed. Type a code such as P0016, or - for none."),
    ],
)
def test_what_is_no_code_is_refused_with_the_reason(text: str, message: str) -> None:
    assert parse_code(text) == Trouble(message)


def test_small_letters_are_accepted() -> None:
    assert parse_code(" u01ab ") == "U01AB"


@given(st.integers(0, 0xFFFF))
def test_every_two_bytes_are_a_code_and_back(raw: int) -> None:
    assert encode(decode(raw)) == raw
    assert parse_code(decode(raw).lower()) == decode(raw)


@pytest.mark.parametrize("raw", [-1, 0x10000])
def test_more_than_two_bytes_are_our_bug(raw: int) -> None:
    with pytest.raises(ValueError, match="two bytes"):
        decode(raw)


def test_a_bad_code_is_not_encoded() -> None:
    with pytest.raises(ValueError, match="no trouble code"):
        encode("p0016")


@pytest.mark.parametrize("text", ["P0018+P0016", "p0018, p0016", "P0018 P0016 P0018", " P0018;P0016+ "])
def test_lists_keep_their_order_and_fold_doubles(text: str) -> None:
    assert parse_codes(text) == ("P0018", "P0016")


@pytest.mark.parametrize("text", ["", "  ", "-"])
def test_nothing_or_a_dash_is_no_code(text: str) -> None:
    assert parse_codes(text) == ()


def test_one_bad_code_refuses_the_list_and_is_named() -> None:
    found = parse_codes("P0016+P9999")
    assert isinstance(found, Trouble)
    assert found.message.startswith("'P9999'")


@given(st.lists(codes, max_size=10))
def test_any_list_of_codes_is_read_back(wanted: list[str]) -> None:
    assert parse_codes("+".join(wanted)) == tuple(dict.fromkeys(wanted))


ANSWERS = (
    ("both-banks", (("P0016", "P0017"), ("P0018", "P0019"))),
    ("bank-1", (("P0016", "P0017"),)),
    ("bank-2", (("P0018", "P0019"),)),
    ("none", ()),
)


@pytest.mark.parametrize(
    ("stored", "answer"),
    [
        ({"P0017", "P0018"}, "both-banks"),
        ({"P0016"}, "bank-1"),
        ({"P0019", "P0340"}, "bank-2"),
        ({"P0340"}, "none"),
        (set(), "none"),
    ],
)
def test_the_first_answer_matches_whose_every_group_has_a_stored_code(stored: set[str], answer: str) -> None:
    assert matching_answer(frozenset(stored), ANSWERS) == answer


def test_the_order_of_the_file_decides() -> None:
    assert matching_answer(frozenset({"P0016"}), ANSWERS[::-1]) == "none"


def test_no_answer_may_match() -> None:
    assert matching_answer(frozenset(), ANSWERS[:3]) is None


def test_codes_are_found_among_the_words_of_a_report() -> None:
    report = """Engine: 3 codes (P0016-00 stored, p0018;pending)
    Network U0100. Body B00016 is none, part BV-2240 neither, xP0020 neither; P0016 again."""
    assert find_codes(report) == ("P0016", "P0018", "U0100")


@given(st.text())
def test_no_text_raises(text: str) -> None:
    assert all(parse_code(code) == code for code in find_codes(text))
    for found in (parse_code(text), parse_codes(text)):
        assert not isinstance(found, Trouble) or found.message.isprintable()


def test_a_pasted_megabyte_gets_a_short_sentence() -> None:
    for found in (parse_code("P" * 1_000_000), parse_codes("P" * 1_000_000)):
        assert isinstance(found, Trouble)
        assert len(found.message) < 150


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("P0016+P0018", ("P0016", "P0018")),
        ("", ()),
        ("-", ()),
        ("stored: p0016, and U0100 at 1850 rpm", ("P0016", "U0100")),
        ("P0016-00 camshaft position", ("P0016",)),
        ("Bank 1 P0017\nBank 2 P0019\nP0017 again", ("P0017", "P0019")),
    ],
)
def test_codes_as_typed_or_among_words(text: str, codes: tuple[str, ...]) -> None:
    assert read_codes(text) == codes


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("no codes stored", "No trouble code stands in 'no codes stored'."),
        ("none", "No trouble code stands in 'none'."),
        ("P0016 P4000", "'P4000' is no trouble code"),
        ("P0016-00", "'P0016-00' has a failure type behind the code."),
        ("12345", "'12345' is no trouble code"),
    ],
)
def test_what_holds_no_code_is_never_none_stored(text: str, said: str) -> None:
    found = read_codes(text)
    assert isinstance(found, Trouble)
    assert found.message.startswith(said)


@given(st.text(max_size=80), st.sampled_from(["P0016", "U3FFF", "b0123"]), st.text(max_size=80))
def test_a_code_apart_from_letters_and_digits_is_found_in_any_text(before: str, code: str, after: str) -> None:
    found = scan_codes(f"{before} {code} {after}")
    assert isinstance(found, tuple)
    assert code.upper() in found
