"""The full screen in a real terminal, and with prompt_toolkit's own pipe."""

import os
import re
import signal
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from diagtree.term.view import CHOOSE_FIRST
from tests.term.terminals import ALTERNATE, PATIENCE, Terminal
from tests.walk.samples import NOISE


@pytest.fixture
def library(tmp_path: Path) -> Path:
    """The sample in a file."""
    file = tmp_path / "noise.yaml"
    file.write_text(NOISE, encoding="utf-8")
    return file


@pytest.fixture(params=[(80, 24), (40, 12)], ids=["80x24", "40x12"])
def terminal(request: pytest.FixtureRequest, library: Path) -> Iterator[Terminal]:
    """The program in a terminal, its first caution shown."""
    made = Terminal(library, *request.param)
    made.until("Before you go on", "Press y")
    yield made
    made.child.close(force=True)


def test_a_walk_to_its_scope_leaves_the_screen_as_it_was(terminal: Terminal) -> None:
    terminal.press("y", "Where does the oil stand")
    terminal.press("\x1b[B", "> 1  Below the lower mark")
    row = terminal.screen.cursor.y
    assert terminal.screen.display[row].startswith("> 1")
    assert not terminal.screen.cursor.hidden
    terminal.child.send("\r")
    terminal.until("Outcome: Oil level low")
    terminal.child.send("q")
    rest = terminal.end()
    assert terminal.child.exitstatus == 0
    after = re.sub(r"\x1b\[[0-9;]*m", "", rest.rpartition(ALTERNATE + "l")[2])
    assert "Outcome: Oil level low" in after
    assert "Repair scope: Oil level low" in after
    assert "Where does the oil stand" not in after
    assert "\x1b[?1000h" not in terminal.raw  # the mouse is never captured


def test_an_interrupt_restores_the_terminal(terminal: Terminal) -> None:
    terminal.child.send("\x03")
    rest = terminal.end()
    assert terminal.child.exitstatus == 130
    assert ALTERNATE + "l" in rest
    terminal.stream.feed(rest)
    assert not terminal.screen.cursor.hidden
    assert "Traceback" not in rest


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_signal_restores_the_terminal(library: Path, number: signal.Signals) -> None:
    terminal = Terminal(library, 80, 24)
    terminal.until("Before you go on")
    os.kill(terminal.child.pid, number)
    rest = terminal.end()
    assert terminal.child.exitstatus == 128 + number
    assert ALTERNATE + "l" in rest
    assert "Traceback" not in rest


def test_a_pasted_text_answers_nothing(terminal: Terminal) -> None:
    terminal.press("y", "Where does the oil stand")
    terminal.child.send("\x1b[200~1\r1\r1\r\x1b[201~")
    terminal.press("\x1b[B", "> 1", "question 1")


def test_what_is_pasted_without_brackets_answers_one_question_at_most(terminal: Terminal) -> None:
    """A terminal that does not bracket a paste sends it as keys, all at once: only what was seen is answered."""
    terminal.press("y", "Where does the oil stand")
    terminal.child.send("2\r150\r-\r")
    terminal.until("question 2", "> 150-")


def test_the_cursor_stands_behind_what_is_typed(terminal: Terminal) -> None:
    """Also behind letters of two cells, so that who reads by the cursor hears what was typed."""
    terminal.press("y", "Where does the oil stand")
    terminal.child.send(":")
    terminal.until("Type a reply")
    for typed, shown, cell in (("oil", "> oil", 5), ("油壓", "> oil油壓", 9)):
        terminal.child.send(typed)
        terminal.until(shown)
        give_up = time.monotonic() + PATIENCE
        while (cursor := terminal.screen.cursor).x != cell:
            assert time.monotonic() < give_up, (cursor.y, cursor.x)
            terminal.read()
        assert terminal.screen.display[cursor.y].startswith("> oil")
        assert not cursor.hidden


def test_a_terminal_without_the_letters_shows_stand_ins_and_no_question_mark(tmp_path: Path) -> None:
    """`?` is an answer of the walk, and a letter of two cells must not leave rests of the last screen."""
    file = tmp_path / "letters.yaml"
    odd = NOISE.replace("title: Rattle", "title: Geräusch 油").replace(
        "Below the lower mark", "Öl ≤ Marke → nachfüllen"
    )
    file.write_text(odd, encoding="utf-8")
    terminal = Terminal(file, 40, 24, PYTHONIOENCODING="ascii")
    terminal.until("Before you go on")
    assert "Gerausch U+6CB9 | question 1" in terminal.press("y", " 1  Ol <= Marke -> nachfullen")
    assert "Gerausch U+6CB9 | end\n" in terminal.press("1", "Outcome: Oil level low")
    terminal.child.close(force=True)


def test_no_colour_is_written_where_none_is_wanted(library: Path) -> None:
    for wish, coloured in (("1", False), ("", True)):
        terminal = Terminal(library, 80, 24, NO_COLOR=wish)
        terminal.until("Valves and pistons")
        assert ("\x1b[0;31;1m" in terminal.raw or "38;5" in terminal.raw or ";31" in terminal.raw) == coloured
        terminal.child.close(force=True)


def test_only_colours_that_every_terminal_has_and_no_ground_are_written(library: Path) -> None:
    """The eight names keep the reader's own shades, on a light ground as on a dark one."""
    terminal = Terminal(library, 80, 24, COLORTERM="truecolor")
    terminal.until("Valves and pistons")
    for text in ("38;2", "38;5", "48;", "\x1b[4"):
        assert text not in terminal.raw.replace("\x1b[4m", "").replace("\x1b[4;", "\x1b[")
    terminal.child.close(force=True)


def test_a_dumb_terminal_is_asked_line_by_line(library: Path) -> None:
    terminal = Terminal(library, 80, 24, TERM="dumb")
    terminal.until("Type y and Enter when you have read this.")
    assert "\x1b" not in terminal.raw
    terminal.child.close(force=True)


def test_a_window_that_changes_shows_the_question_once_and_leaves_none_behind(library: Path) -> None:
    terminal = Terminal(library, 100, 24)
    terminal.until("Before you go on")
    terminal.press("y", "Where does the oil stand")
    for columns, rows in ((40, 24), (100, 24), (60, 12), (100, 24), (15, 3), (100, 24)):
        terminal.screen.resize(rows, columns)
        terminal.screen.reset()
        terminal.child.setwinsize(rows, columns)
        if columns == 15:
            terminal.until("Too small:")
            continue
        shown = terminal.until("dipstick?", "cannot tell")
        assert shown.count("dipstick?") == 1
    terminal.child.send("q")
    rest = terminal.end()
    before, _, after = rest.rpartition(ALTERNATE + "l")
    assert "\x1b[J" in before[-80:]  # a terminal that grew would keep what still stood there
    assert after.count("dipstick?") == 1  # in the report: where the walk stopped
    assert "Still possible" not in after
    assert not terminal.screen.history.top


SIZES = (
    (20, 5), (20, 24), (24, 10), (30, 8), (40, 12), (60, 16), (80, 24), (80, 50), (99, 30), (100, 30), (120, 40),
    (132, 43), (200, 50), (400, 100),
)  # fmt: skip


@pytest.mark.parametrize(("columns", "rows"), SIZES, ids=[f"{columns}x{rows}" for columns, rows in SIZES])
def test_a_walk_can_be_made_at_every_size(library: Path, columns: int, rows: int) -> None:
    """By the keys that the screen shows, a page at a time where it is small."""
    terminal = Terminal(library, columns, rows)
    terminal.until("y I have read")
    for _ in range(5):  # a page at a time
        if "oil" not in terminal.shown:
            terminal.child.send("\x1b[6~")
            terminal.settle()
            terminal.child.send("y")
            terminal.settle()
    _down_to(terminal, "> 1")
    row = terminal.screen.cursor.y
    assert terminal.screen.display[row].startswith("> 1"), terminal.shown
    assert not terminal.screen.cursor.hidden
    terminal.press("\r", "Outcome")
    terminal.child.send("q")
    terminal.end()
    assert terminal.child.exitstatus == 0


def _down_to(terminal: Terminal, text: str) -> None:
    """Point further down until this is shown; the next key only once the last has done what it does."""
    terminal.settle()
    for _ in range(40):
        if text in terminal.shown:
            return
        terminal.child.send("\x1b[B")
        terminal.settle()


def test_every_answer_of_wide_letters_can_be_reached_on_a_small_screen(tmp_path: Path) -> None:
    file = tmp_path / "wide.yaml"
    wide = "油面在下刻度以下需要添加机油到两个刻度之间" * 2
    many = ", ".join(f"a{at}: {wide}{at}" for at in range(1, 8))
    text = NOISE.replace("{low: Below the lower mark, ok: Between the marks}", f"{{low: {wide}, ok: {wide}, {many}}}")
    rest = ", ".join(f"a{at}: gauge" for at in range(1, 8))
    text = text.replace("then: {low: top-up, ok: gauge}", f"then: {{low: top-up, ok: gauge, {rest}}}")
    text = text.replace(
        "then: {low: look, ok: look}", f"then: {{low: look, ok: look, {rest.replace('gauge', 'look')}}}"
    )
    file.write_text(text, encoding="utf-8")
    terminal = Terminal(file, 40, 12)
    terminal.until("Before")
    terminal.press("y", "Where")
    for place in range(1, 10):
        _down_to(terminal, f"> {place}  ")
        row = terminal.screen.cursor.y
        assert terminal.screen.display[row].startswith(f"> {place}  "), terminal.shown
    terminal.press("\r", "question 2")
    terminal.child.close(force=True)


def test_no_key_held_down_passes_two_stop_cautions(tmp_path: Path) -> None:
    """As a terminal sends a key that is held down: many at once, and on and on. Each caution wants a key of its own."""
    file = tmp_path / "three.yaml"
    three = NOISE.replace("cautions: [hot-engine]", "cautions: [hot-engine, one, two]").replace(
        "  hot-engine:", "  one: {say: First., level: stop}\n  two: {say: Second., level: stop}\n  hot-engine:"
    )
    file.write_text(three, encoding="utf-8")
    terminal = Terminal(file, 80, 24)
    said = {"k": "Press k when", "u": "Press u when", "y": "Press y when"}
    terminal.until(said["k"])
    for _ in range(2):
        terminal.child.send("\r" * 8)
        terminal.settle()
    terminal.until(said["k"], "Read the caution first, then press k.")
    for key, then in (("k", said["u"]), ("u", said["y"])):
        terminal.press(key, then)
        for _ in range(2):
            terminal.child.send(key * 8 + "\r" * 8)
            terminal.settle()
        terminal.until(then)
    terminal.press("y", "Where does the oil stand", "question 1")
    terminal.child.send("y" * 8 + "\r" * 8)
    terminal.settle()
    terminal.until("question 1", CHOOSE_FIRST)
    terminal.child.close(force=True)


def test_a_walk_put_aside_comes_back_as_it_was(library: Path) -> None:
    """In a shell with jobs of its own: ^Z gives the terminal back, `fg` the walk."""
    terminal = Terminal(library, 80, 24, around="set -m; {}; echo ASIDE; read -r; fg; echo LEFT $?")
    terminal.until("Before you go on")
    terminal.press("y", "Where does the oil stand")
    terminal.child.send("\x1a")
    terminal.until("ASIDE")
    assert ALTERNATE + "l" in terminal.raw
    assert not terminal.screen.cursor.hidden
    terminal.press("\n", "Where does the oil stand", "Between the marks")
    terminal.press("2", "question 2")
    terminal.press("\x03", "LEFT 130")
    terminal.child.close(force=True)


def test_what_takes_long_does_not_hold_up_a_key(library: Path) -> None:
    """What would change the advice takes seconds; the screen goes back meanwhile."""
    terminal = Terminal(library, 80, 24)
    terminal.until("Before you go on")
    terminal.press("y", "Where does the oil stand")
    terminal.press("c", "What would change the advice")
    terminal.press("b", "question 1", "1-2 answer")
    terminal.press("c", "The advice is")
    terminal.child.close(force=True)
