"""The full screen in a real terminal, and with prompt_toolkit's own pipe."""

import os
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pexpect
import pyte
import pytest
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from diagtree.term.screen import walk
from tests.walk.samples import NOISE, start

ROOT = Path(__file__).resolve().parents[2]
ALTERNATE = "\x1b[?1049"
PATIENCE = 20.0  # seconds until a screen that never comes is given up; nothing is timed


class Terminal:
    """The program on a terminal of this size, and what that terminal shows."""

    def __init__(self, library: Path, columns: int, rows: int, **environment: str) -> None:
        argv = ["-m", "diagtree", "--library", str(library), "walk", "rattle"]
        settings = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "FORCE_COLOR"}}
        settings |= {"TERM": "xterm-256color", "PYTHONPATH": str(ROOT), **environment}
        self.child: Any = pexpect.spawn(
            sys.executable, argv, dimensions=(rows, columns), env=settings, encoding="utf-8", timeout=PATIENCE
        )
        self.screen = pyte.Screen(columns, rows)
        self.stream = pyte.Stream(self.screen)
        self.raw = ""

    def read(self) -> None:
        """Take in what the program has written."""
        try:
            text = self.child.read_nonblocking(100_000, timeout=0.1)
        except pexpect.TIMEOUT:
            return
        self.raw += text
        self.stream.feed(text)

    def until(self, *texts: str) -> str:
        """The screen once it shows all of these."""
        give_up = time.monotonic() + PATIENCE
        while not all(text in self.shown for text in texts):
            assert time.monotonic() < give_up, self.shown
            self.read()
        return self.shown

    @property
    def shown(self) -> str:
        """The screen's lines."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def end(self) -> str:
        """What was written from here to the end of the program."""
        before = len(self.raw)
        try:
            while True:
                self.raw += self.child.read_nonblocking(100_000, timeout=PATIENCE)
        except pexpect.EOF:
            self.child.close()
        return self.raw[before:]


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
    made.until("Before you go on", "Enter")
    yield made
    made.child.close(force=True)


def test_a_walk_to_its_scope_leaves_the_screen_as_it_was(terminal: Terminal) -> None:
    terminal.child.send("\r")
    terminal.until("Where does the oil stand")
    terminal.child.send("1")
    terminal.until("> 1  Below the lower mark")
    row = terminal.screen.cursor.y
    assert terminal.screen.display[row].startswith("> 1")
    assert not terminal.screen.cursor.hidden
    terminal.child.send("\r")
    terminal.until("Outcome: Oil level low")
    terminal.child.send("q")
    rest = terminal.end()
    assert terminal.child.exitstatus == 0
    after = rest.rpartition(ALTERNATE + "l")[2]
    assert "Outcome: Oil level low" in after
    assert "Repair scope: Oil level low" in after
    assert "Where does the oil stand" not in after
    assert "\x1b[?1000h" not in terminal.raw  # the mouse is never captured


def test_an_interrupt_restores_the_terminal(terminal: Terminal) -> None:
    terminal.child.send("\x03")
    rest = terminal.end()
    assert terminal.child.exitstatus == 130
    assert ALTERNATE + "l" in rest
    assert "\x1b[?25h" in rest
    assert "Traceback" not in rest


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_restores_the_terminal(library: Path, number: signal.Signals) -> None:
    terminal = Terminal(library, 80, 24)
    terminal.until("Before you go on")
    os.kill(terminal.child.pid, number)
    rest = terminal.end()
    assert terminal.child.exitstatus == 128 + number
    assert ALTERNATE + "l" in rest
    assert "Traceback" not in rest


def test_a_pasted_text_answers_nothing(terminal: Terminal) -> None:
    terminal.child.send("\r")
    terminal.until("Where does the oil stand")
    terminal.child.send("\x1b[200~1\r1\r1\r\x1b[201~")
    terminal.child.send("2")
    terminal.until("> 2", "question 1")


def test_the_cursor_stands_behind_what_is_typed(terminal: Terminal) -> None:
    """Also behind letters of two cells, so that who reads by the cursor hears what was typed."""
    terminal.child.send("\r")
    terminal.until("Where does the oil stand")
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
    terminal.child.send("\r")
    shown = terminal.until(" 1  Ol <= Marke -> nachfullen")
    assert "Gerausch U+6CB9 | question 1" in shown
    terminal.child.send("1\r")
    assert "Gerausch U+6CB9 | end\n" in terminal.until("Outcome: Oil level low")
    terminal.child.close(force=True)


def test_no_colour_is_written_where_none_is_wanted(library: Path) -> None:
    for wish, coloured in (("1", False), ("", True)):
        terminal = Terminal(library, 80, 24, NO_COLOR=wish)
        terminal.until("Valves and pistons")
        assert ("\x1b[0;31;1m" in terminal.raw or "38;5" in terminal.raw or ";31" in terminal.raw) == coloured
        terminal.child.close(force=True)


def test_a_dumb_terminal_is_asked_line_by_line(library: Path) -> None:
    terminal = Terminal(library, 80, 24, TERM="dumb")
    terminal.until("Press Enter when you have read this.")
    assert "\x1b" not in terminal.raw
    terminal.child.close(force=True)


def test_a_smaller_window_shows_the_question_once(library: Path) -> None:
    terminal = Terminal(library, 100, 24)
    terminal.until("Before you go on")
    terminal.child.send("\r")
    terminal.until("Where does the oil stand")
    for columns in (40, 100):
        terminal.screen.resize(24, columns)
        terminal.screen.reset()
        terminal.child.setwinsize(24, columns)
        shown = terminal.until("dipstick?", "leave")
        assert shown.count("dipstick?") == 1
    terminal.child.close(force=True)


def test_keys_of_a_pipe_walk_to_an_outcome() -> None:
    with create_pipe_input() as source:
        source.send_text("\r" + "2\r" + "150\r" + "P0016+P0018\r" + "\r" + "\x1b[B\r" + "\r" + "q")
        session = walk(start(NOISE, "rattle"), source, DummyOutput())
    assert session.known.findings["plates"].answer == "worn"
    assert session.outcome


def test_an_interrupt_by_key_raises() -> None:
    with create_pipe_input() as source:
        source.send_text("\x03")
        with pytest.raises(KeyboardInterrupt):
            walk(start(NOISE, "rattle"), source, DummyOutput())
