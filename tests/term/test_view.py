"""What each key does, and how it is laid out, with no terminal."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.report.lines import cells
from diagtree.term.pressing import opened, paste, press
from diagtree.term.sheet import TOO_SMALL, Sheet, _lay, in_sight, lay_out, move, unread
from diagtree.term.thoughts import Kind, Lines, Thoughts
from diagtree.term.view import CHOOSE_FIRST, KEYS, View, choices
from diagtree.walk.session import Session
from tests.walk.samples import NOISE, YES_NO, start

MOVES = ("up", "down", "page-up", "page-down")
THOUGHTS = Thoughts()
SIZES = ((80, 24), (40, 12), (20, 5), (400, 100), (200, 50), (100, 30), (30, 8), (2, 1))
WIDE = NOISE.replace("Below the lower mark", "下の印より低いので油を足してください" * 3).replace(
    "Level ground,", "平らな床で " * 40
)
keys = st.lists(st.sampled_from((*KEYS, *"12345?bqf:x0P16 9,=yukrnwcijh")), max_size=25)


def pressed(view: View, *typed: str, size: tuple[int, int] = (80, 24)) -> View:
    """The view after these keys."""
    for key in typed:
        view = move(view, key, size, THOUGHTS) if key in MOVES else press(view, key)
    return view


def laid(view: View, size: tuple[int, int]) -> Sheet:
    """The view on a screen of this size."""
    return lay_out(view, *size, THOUGHTS)


def read_on(library: str = NOISE, tree: str = "rattle") -> View:
    """The first question, its caution read."""
    return pressed(opened(start(library, tree)), "y")


@settings(max_examples=150, deadline=None)
@given(keys, st.sampled_from(SIZES), st.sampled_from((NOISE, WIDE)))
def test_every_screen_fits_and_the_cursor_is_on_what_is_pointed_at(
    typed: list[str], size: tuple[int, int], library: str
) -> None:
    view = opened(start(library, "rattle"))
    for key in typed:
        view = pressed(view, key, size=size)
        sheet = laid(view, size)
        assert len(sheet.rows) == size[1]
        assert all(cells(row.whole) <= size[0] for row in sheet.rows)
        row, cell = sheet.cursor
        assert 0 <= row < size[1]
        assert 0 <= cell < size[0]
        if view.pointed is not None and size != (2, 1):
            assert sheet.rows[row].place == view.pointed


@pytest.mark.parametrize("size", SIZES[:5])
@pytest.mark.parametrize("library", [NOISE, WIDE])
def test_arrows_reach_every_answer_and_both_ends_of_the_text(size: tuple[int, int], library: str) -> None:
    view = read_on(library)
    seen = set()
    for _ in range(200):
        view = move(view, "down", size, THOUGHTS)
        seen.add(view.pointed)
    assert {0, 1} <= seen
    assert not unread(view, *size, THOUGHTS)
    for _ in range(200):
        view = move(view, "up", size, THOUGHTS)
    again = [row.text.replace(">", " ") for row in laid(view, size).rows]
    assert again == [row.text for row in laid(read_on(library), size).rows]


@pytest.mark.parametrize("size", SIZES[:5])
@pytest.mark.parametrize("library", [NOISE, WIDE])
def test_pages_show_all_of_the_text(size: tuple[int, int], library: str) -> None:
    view = read_on(library)
    shown = set()
    for _ in range(100):
        shown |= {row.text for row in laid(view, size).rows}
        view = move(view, "page-down", size, THOUGHTS)
    assert shown >= {row.text for row in _lay(read_on(library), *size, THOUGHTS).text}


def held(view: View, key: str, times: int) -> View:
    """The view after a key that is held down."""
    for _ in range(times):
        view = press(view, key, held=True)
    return view


def test_a_key_held_down_answers_once() -> None:
    """The first press answers; what comes behind it points, and Enter finds nothing that somebody pointed at."""
    view = pressed(read_on(), "down", "down", *("enter",) * 50)
    assert len(view.session.replies) == 1
    view = held(press(opened(start(YES_NO, "lamp")), "1"), "1", 50)
    assert len(view.session.replies) == 1
    view = held(read_on(), "2", 50)
    assert len(view.session.replies) == 0
    assert view.pointed == 1
    assert view.refusal == "Press 2 once more, or Enter, to answer this."
    view = held(press(read_on(), "?"), "?", 50)
    assert len(view.session.replies) == 1
    view = held(pressed(read_on(), "2", *"150", "enter", *"P0016", "enter"), "b", 50)
    assert len(view.session.replies) == 3


def test_enter_without_an_answer_says_what_to_do() -> None:
    assert pressed(read_on(), "enter").refusal == CHOOSE_FIRST


def test_a_number_answers_and_arrows_point_for_enter() -> None:
    by_number = pressed(read_on(), "2")
    by_arrow = pressed(read_on(), "down", "down", "enter")
    assert by_number.session == by_arrow.session
    assert by_number.session.known.findings["oil-level"].answer == "ok"
    assert pressed(read_on(), "7").refusal == "There is no answer 7 here."


def test_a_stop_caution_waits_for_the_key_that_it_names() -> None:
    view = opened(start(NOISE, "rattle"))
    assert view.kind == "stop"
    assert pressed(view, "1", "2", "?", "down", "enter").kind == "stop"
    assert pressed(view, "enter").refusal == "Read the caution first, then press y."
    assert pressed(view, "y").kind == "pick"


def test_no_key_held_down_passes_two_stop_cautions() -> None:
    """The next one wants another key, so that not even a slow finger passes both."""
    three = NOISE.replace("cautions: [hot-engine]", "cautions: [hot-engine, one, two]").replace(
        "  hot-engine:", "  one: {say: First., level: stop}\n  two: {say: Second., level: stop}\n  hot-engine:"
    )
    view = opened(start(three, "rattle"))
    for key in ("k", "u", "y"):
        assert view.kind == "stop"
        for other in {"y", "u", "k", "enter", " "} - {key}:
            assert pressed(view, *(other,) * 9).session == view.session
        view = pressed(view, *(key,) * 9)
    assert view.kind == "pick"


def test_a_reading_is_typed_mended_and_taken() -> None:
    view = pressed(read_on(), "2", *"1045", "backspace", "enter")
    assert view.session.known.findings["pressure"].values == (104.0,)
    assert any("Too close to call" in line for line in view.news)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("80", ["= 80 kPa: Below the limit."]),
        ("14psi", ["= 97 kPa: Below the limit.", "= Too close to call: take it again."]),
        ("104", ["= 104 kPa: At or above the limit.", "= Too close to call: take it again."]),
        ("9x", []),
        ("3 N m", []),
    ],
)
def test_a_field_says_its_band_as_one_types(typed: str, said: list[str]) -> None:
    shown = [row.text for row in laid(pressed(read_on(), "2", *typed), (80, 24)).rows]
    assert [text for text in shown if text.startswith("=")] == said


def test_a_field_says_what_stored_codes_are() -> None:
    view = pressed(read_on(), "2", *"150", "enter", *"p0016")
    shown = [row.text for row in laid(view, (80, 24)).rows]
    assert "= P0016 (Correlation bank 1): bank 1." in shown


def test_a_reading_that_is_none_stays_in_the_field_with_the_reason() -> None:
    view = pressed(read_on(), "2", *"abc", "enter")
    assert view.typed == "abc"
    assert view.refusal
    assert pressed(view, "clear", *"150", "enter").session.known.findings["pressure"].answer == "ok"


def test_letters_that_are_keys_elsewhere_are_letters_in_a_field() -> None:
    view = pressed(read_on(), "2", *"bqf:")
    assert view.typed == "bqf:"
    assert not view.left


def test_back_and_cannot_tell() -> None:
    view = pressed(read_on(), "?")
    assert view.session.known.unknown == {"oil-level"}
    assert pressed(view, "back").session.replies == ()
    assert pressed(read_on(), "2", "?").refusal.startswith("The tree has no way on from here")
    pick = NOISE.replace("hours: 0.5\n    reading: {unit: kPa, uncertainty: 10}\n", "hours: 0.5\n").replace(
        "low: {below: 100, is: Below the limit}", "low: Low"
    )
    pick = pick.replace("ok: {from: 100, is: At or above the limit}", "ok: Right")
    assert pressed(read_on(pick), "2", "?").refusal.endswith("Give one as CHECK=ANSWER. Press : to type it.")
    assert pressed(read_on(), "b").refusal.startswith("There is nothing to take back")


def test_a_paste_answers_nothing() -> None:
    pick = read_on()
    assert paste(pick, "1\n1\n1\n") == pick
    field = pressed(pick, "2")
    pasted = paste(field, "104\n95\n1")
    assert pasted.typed == "104"
    assert pasted.session == field.session
    assert len(paste(field, "9" * 1_000_000).typed) == 500


def test_the_build_can_be_told() -> None:
    view = pressed(read_on(), "f")
    assert view.kind == "list"
    assert choices(view) == 2
    view = pressed(view, "1")
    assert [build.id for build in view.session.known.builds] == ["early"]
    assert view.kind == "pick"
    assert pressed(view, "f").refusal == "The build is known."


def test_an_earlier_answer_is_told_anew_from_a_list() -> None:
    view = pressed(read_on(), "2", *"150", "enter", *"P0016", "enter", "y", "r")
    assert view.kind == "list"
    shown = [row.text for row in laid(view, (80, 24)).rows]
    assert "  2  Oil pressure at hot idle? At or above the limit (150 kPa)." in shown
    view = pressed(view, "2")
    assert view.kind == "type"
    view = pressed(view, *"95", "enter")
    assert view.session.known.findings["pressure"].values == (95.0,)
    assert view.session.outcome
    assert "Not asked on this way, but it still counts: Which codes are stored? bank 1." in view.news
    assert pressed(view, "b").session.known.findings["pressure"].values == (150.0,)


def test_a_build_told_anew_takes_out_what_does_not_fit() -> None:
    view = pressed(read_on(), "f", "2", ":", *"plates=worn", "enter", "r", "1", "1")
    assert [build.id for build in view.session.known.builds] == ["early"]
    assert "plates" not in view.session.known.findings
    assert "This fits no longer and is taken out: Are the plates of the silent chain worn?" in view.news
    assert pressed(view, "b").session.known.findings["plates"].answer == "worn"


def test_leaving_a_list_changes_nothing() -> None:
    view = pressed(read_on(), "2")
    for keys in (("menu", "r", "escape"), ("menu", "r", "1", "escape"), ("menu", "j", "escape"), ("menu", "h", "b")):
        after = pressed(view, *keys)
        assert after.session == view.session
        assert after.kind == "type"


def test_another_tree_keeps_all_answers() -> None:
    view = pressed(read_on(), "2", "menu", "j", "1")
    assert view.session.tree.id == "inside"
    assert set(view.session.known.findings) == {"oil-level"}
    assert view.news[0] == "On in another tree: Inside the cover. All answers are kept."
    assert pressed(view, "b").session.tree.id == "rattle"


def test_a_note_stands_on_the_last_answer_or_on_the_one_pointed_at() -> None:
    view = pressed(read_on(), "2", "menu", "n", *"seeps", "enter")
    assert view.session.known.notes == {"oil-level": "seeps"}
    view = pressed(view, *"150", "enter", "menu", "r", "down", "n", *" more", "enter")
    assert view.session.known.notes == {"oil-level": "seeps more"}


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("w", "low (Below the lower mark): about"),
        ("c", "The advice is"),
        ("i", "Still possible"),
        ("h", "Quit here"),
        ("menu", "All keys"),
    ],
)
def test_what_is_asked_aside_is_a_key_away_and_back(key: str, said: str) -> None:
    view = pressed(read_on(), key)
    shown = "\n".join(row.text for row in laid(view, (100, 50)).rows)
    assert said in shown
    assert pressed(view, "escape") == read_on()


def test_any_reply_can_be_typed_on_a_line() -> None:
    view = pressed(read_on(), ":", *"pressure=104", "enter")
    assert view.session.known.findings["pressure"].values == (104.0,)
    assert view.kind == "pick"
    assert pressed(read_on(), ":", "x", "back").kind == "pick"
    assert pressed(read_on(), ":", *"why", "enter").beside == "why"


def test_leaving_and_interrupting() -> None:
    assert pressed(read_on(), "q").left == "done"
    assert pressed(read_on(), "2", "leave").left == "done"
    assert pressed(opened(start(NOISE, "rattle")), "interrupt").left == "interrupted"


def test_every_key_is_on_a_screen_with_room_and_in_the_list_on_any() -> None:
    shown = " ".join(row.text for row in laid(read_on(), (80, 24)).rows[-4:])
    keys = "1-2 answer,Enter,? cannot,n note,w why,c change,i info,j jump,f build,: type,h help,q quit,Ctrl-C stop"
    for key in keys.split(","):
        assert key in shown
    small = laid(read_on(), (40, 12)).rows
    assert any("Tab all keys" in row.text for row in small)
    assert any("Tab all keys" in row.text for row in laid(pressed(read_on(), "2"), (20, 5)).rows)


def test_a_question_on_a_small_screen() -> None:
    assert "\n".join(row.text for row in laid(pressed(read_on(), "down"), (40, 12)).rows) == (
        " Rattle | question 1\n"
        "Where does the oil stand on the\n"
        "dipstick?\n"
        "\n"
        "Warning: Hot oil. Let it cool.\n"
        "\n"
        "> 1  Below the lower mark\n"
        "  2  Between the marks\n"
        "\n"
        "Level ground, engine off for ten\n"
        "1-2 answer  ? cannot tell\n"
        "PgDn how it is done  Tab all keys"
    )


def test_question_answers_causes_and_advice_are_seen_at_once() -> None:
    """Without a key: this is what a check is chosen by. What has no room is how it is done, and the list in full."""
    assert "\n".join(row.text for row in laid(read_on(), (79, 16)).rows) == (
        " Rattle | question 1\n"
        "Where does the oil stand on the dipstick?\n"
        "\n"
        "Level ground, engine off for ten minutes. Tools: dipstick. Takes about 6\n"
        "minutes.\n"
        "Warning: Hot oil. Let it cool.\n"
        "\n"
        "  1  Below the lower mark\n"
        "  2  Between the marks\n"
        "\n"
        "Likeliest: about 50 in 100 Inside the cover (a tree of its own); about 30 in\n"
        "100 Oil level low; about 20 in 100 Oil pump worn.\n"
        "By cost alone: this check, 10.00 EUR.\n"
        "\n"
        "1-2 answer  ? cannot tell  Arrows and Enter  n note  w why  c change  i info\n"
        "j jump  f build  : type  h help  PgUp PgDn  Tab all keys  q quit  Ctrl-C stop"
    )


@pytest.mark.parametrize("rows", [*range(16, 40), 60])
def test_causes_and_advice_are_seen_from_16_rows_on(rows: int) -> None:
    shown = "\n".join(row.text for row in laid(read_on(), (79, rows)).rows)
    for text in ("Where does the oil", "Hot oil", "Below the lower mark", "Between the marks", "By cost alone"):
        assert text in shown
    assert "Likeliest: about 50" in shown or "about 50 in 100: Inside the cover" in shown


def test_a_warning_comes_before_the_answers_and_a_note_where_there_is_room() -> None:
    three = NOISE.replace("how: Level ground", f"how: {'Level ground. ' * 9}")
    noted = three.replace("hot-engine: Hot oil. Let it cool.", "hot-engine: {say: Hot oil. Let it cool., level: note}")
    long = noted.replace("Let it cool.", "Let it cool. " * 25)
    for library, size, above in ((three, (39, 12), True), (noted, (39, 12), True), (long, (39, 12), False)):
        texts = [row.text for row in _lay(read_on(library), *size, THOUGHTS).text]
        told = next(at for at, text in enumerate(texts) if "Hot oil" in text)
        assert (told < texts.index("  1  Below the lower mark")) == above
    assert any("Hot oil" in row.text for row in laid(read_on(long), (79, 30)).rows)


def test_what_is_known_stays_in_place_while_the_advice_is_worked_out() -> None:
    """The answers must not move under the eye when it is there."""

    class Working(Thoughts):
        def of(self, kind: Kind, session: Session, detail: str = "") -> Lines | None:
            return None if kind == "advice" else super().of(kind, session, detail)

    for rows in range(16, 40):
        before, after = (lay_out(read_on(), 79, rows, thoughts).rows for thoughts in (Working(), THOUGHTS))
        assert [(at, row) for at, row in enumerate(before) if row.place is not None] == [
            (at, row) for at, row in enumerate(after) if row.place is not None
        ]


def test_a_large_screen_has_what_is_known_beside_the_question() -> None:
    view = pressed(read_on(), "2", *"150", "enter", *"P0016", "enter", "y")
    assert view.session.check
    assert view.session.check.id == "plates"
    rows = laid(pressed(view, "2"), (200, 50)).rows
    beside = "\n".join(row.aside for row in rows)
    for heading in ("Still possible", "Off the car", "The way so far"):
        assert heading in beside
    assert "- Take off and refit the cover" in beside
    assert not any("Still possible" in row.text for row in rows)


def test_a_screen_with_no_room_says_so() -> None:
    assert laid(read_on(), (15, 4)).rows[0].text == "Too small: make"
    assert TOO_SMALL == "Too small: make it 20x5."


def test_what_is_out_of_sight_is_known_to_be() -> None:
    assert in_sight(read_on(), 1, 80, 24, THOUGHTS)
    assert not in_sight(read_on(WIDE), 1, 30, 8, THOUGHTS)


def test_a_place_on_the_poster_stands_in_the_title() -> None:
    thoughts = Thoughts({"lamp": {"lit": "C4"}}.__getitem__)
    assert (
        lay_out(opened(start(YES_NO, "lamp")), 80, 24, thoughts).rows[0].text == " Lamp | question 1 | C4 on the poster"
    )


def test_a_low_column_beside_the_question_has_the_advice_first_and_no_heading_alone() -> None:
    view = pressed(read_on(), "2", *"150", "enter", *"P0016", "enter", "y")
    for rows in range(10, 24):
        beside = [row.aside for row in laid(view, (110, rows)).rows if row.aside]
        headings = {at for at, text in enumerate(beside) if text and not text.startswith(" ")}
        rest = next((at for at, text in enumerate(beside) if text.startswith("... i")), None)
        if rest is not None:
            assert beside[0] == "Advice"
            assert rest - 1 not in headings
