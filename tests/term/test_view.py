"""What each key does, and how it is laid out, with no terminal."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.report.lines import cells
from diagtree.term.page import body
from diagtree.term.sheet import lay_out, move, unread
from diagtree.term.view import CHOOSE_FIRST, KEYS, View, choices, opened, paste, press
from tests.walk.samples import NOISE, start

MOVES = ("up", "down", "page-up", "page-down")
SIZES = ((80, 24), (40, 12), (20, 5), (400, 100), (30, 8), (2, 1))
WIDE = NOISE.replace("Below the lower mark", "下の印より低いので油を足してください" * 3).replace(
    "Level ground,", "平らな床で " * 40
)
keys = st.lists(st.sampled_from((*KEYS, *"12345?bqf:x0P16 9,=")), max_size=25)


def pressed(view: View, *typed: str, size: tuple[int, int] = (80, 24)) -> View:
    """The view after these keys."""
    for key in typed:
        view = move(view, key, *size) if key in MOVES else press(view, key)
    return view


def read_on(library: str = NOISE, tree: str = "rattle") -> View:
    """The first question, its caution read."""
    return pressed(opened(start(library, tree)), "enter")


@settings(max_examples=150, deadline=None)
@given(keys, st.sampled_from(SIZES), st.sampled_from((NOISE, WIDE)))
def test_every_screen_fits_and_the_cursor_is_on_what_is_pointed_at(
    typed: list[str], size: tuple[int, int], library: str
) -> None:
    view = opened(start(library, "rattle"))
    for key in typed:
        view = pressed(view, key, size=size)
        sheet = lay_out(view, *size)
        assert len(sheet.rows) == size[1]
        assert all(cells(row.text) <= size[0] for row in sheet.rows)
        row, cell = sheet.cursor
        assert 0 <= row < size[1]
        assert 0 <= cell < size[0]
        if view.pointed is not None:
            assert sheet.rows[row].place == view.pointed


@pytest.mark.parametrize("size", SIZES[:5])
@pytest.mark.parametrize("library", [NOISE, WIDE])
def test_arrows_reach_every_answer_and_both_ends_of_the_text(size: tuple[int, int], library: str) -> None:
    view = read_on(library)
    seen = set()
    for _ in range(200):
        view = move(view, "down", *size)
        seen.add(view.pointed)
    assert {0, 1} <= seen
    assert not unread(view, *size)
    for _ in range(200):
        view = move(view, "up", *size)
    again = [row.text.replace(">", " ") for row in lay_out(view, *size).rows]
    assert again == [row.text for row in lay_out(read_on(library), *size).rows]


@pytest.mark.parametrize("size", SIZES[:5])
@pytest.mark.parametrize("library", [NOISE, WIDE])
def test_pages_show_all_of_the_text(size: tuple[int, int], library: str) -> None:
    view = read_on(library)
    shown = set()
    for _ in range(100):
        shown |= {row.text for row in lay_out(view, *size).rows}
        view = move(view, "page-down", *size)
    assert shown >= {row.text for row in body(read_on(library), size[0])}


def test_a_key_held_down_answers_once() -> None:
    """Nothing is pointed at when a question appears: Enter held down waits there."""
    view = pressed(read_on(), "2", *("enter",) * 50)
    assert len(view.session.replies) == 1
    view = pressed(read_on(), *("2",) * 50)
    assert len(view.session.replies) == 0


def test_enter_without_an_answer_says_what_to_do() -> None:
    assert pressed(read_on(), "enter").refusal == CHOOSE_FIRST


def test_numbers_and_arrows_point_and_enter_answers() -> None:
    by_number = pressed(read_on(), "2", "enter")
    by_arrow = pressed(read_on(), "down", "down", "enter")
    assert by_number.session == by_arrow.session
    assert by_number.session.known.findings["oil-level"].answer == "ok"
    assert pressed(read_on(), "7").refusal == "There is no answer 7 here."


def test_a_stop_caution_waits_for_a_key() -> None:
    view = opened(start(NOISE, "rattle"))
    assert view.kind == "stop"
    assert pressed(view, "1", "2", "?", "down").kind == "stop"
    assert pressed(view, "enter").kind == "pick"


def test_a_reading_is_typed_mended_and_taken() -> None:
    view = pressed(read_on(), "2", "enter", *"1045", "backspace", "enter")
    assert view.session.known.findings["pressure"].values == (104.0,)
    assert any("Too close to call" in line for line in view.news)


def test_a_reading_that_is_none_stays_in_the_field_with_the_reason() -> None:
    view = pressed(read_on(), "2", "enter", *"abc", "enter")
    assert view.typed == "abc"
    assert view.refusal
    assert pressed(view, "clear", *"150", "enter").session.known.findings["pressure"].answer == "ok"


def test_letters_that_are_keys_elsewhere_are_letters_in_a_field() -> None:
    view = pressed(read_on(), "2", "enter", *"bqf:")
    assert view.typed == "bqf:"
    assert not view.left


def test_back_and_cannot_tell() -> None:
    view = pressed(read_on(), "?")
    assert view.session.known.unknown == {"oil-level"}
    assert pressed(view, "back").session.replies == ()
    assert pressed(read_on(), "2", "enter", "?").refusal.startswith("The tree has no way on from here")
    assert pressed(read_on(), "b").refusal.startswith("There is nothing to take back")


def test_a_paste_answers_nothing() -> None:
    pick = read_on()
    assert paste(pick, "1\n1\n1\n") == pick
    field = pressed(pick, "2", "enter")
    pasted = paste(field, "104\n95\n1")
    assert pasted.typed == "104"
    assert pasted.session == field.session
    assert len(paste(field, "9" * 1_000_000).typed) == 500


def test_the_build_can_be_told() -> None:
    view = pressed(read_on(), "f")
    assert view.kind == "build"
    assert choices(view) == 2
    view = pressed(view, "1", "enter")
    assert [build.id for build in view.session.known.builds] == ["early"]
    assert view.kind == "pick"
    assert pressed(view, "f") == view  # nothing is left to tell


def test_any_reply_can_be_typed_on_a_line() -> None:
    view = pressed(read_on(), ":", *"pressure=104", "enter")
    assert view.session.known.findings["pressure"].values == (104.0,)
    assert view.kind == "pick"
    assert pressed(read_on(), ":", "x", "back").kind == "pick"


def test_leaving_and_interrupting() -> None:
    assert pressed(read_on(), "q").left == "done"
    assert pressed(read_on(), "2", "enter", "leave").left == "done"
    assert pressed(opened(start(NOISE, "rattle")), "interrupt").left == "interrupted"


def test_the_keys_that_do_something_are_on_the_screen() -> None:
    shown = " ".join(row.text for row in lay_out(read_on(), 80, 24).rows[-3:])
    for key in ("1-2", "Enter", "?", "f build", ":", "q leave", "Ctrl-C"):
        assert key in shown


def test_a_question_on_a_small_screen() -> None:
    view = pressed(read_on(), "2")
    assert "\n".join(row.text for row in lay_out(view, 40, 12).rows) == (
        " Rattle | question 1\n"
        "\n"
        "Where does the oil stand on the\n"
        "dipstick?\n"
        "\n"
        "Warning: Hot oil. Let it cool.\n"
        "\n"
        "  1  Below the lower mark\n"
        "> 2  Between the marks\n"
        "Arrows or 1-2 point   Enter answer\n"
        "? cannot tell   f build   : type a reply\n"
        "q leave   Ctrl-C stop"
    )
