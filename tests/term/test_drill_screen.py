"""A drill on the full screen: by keys it comes to what it comes to by lines; in a real terminal at several sizes."""

import json
import re
import time
from dataclasses import dataclass, field
from io import StringIO
from pathlib import Path
from random import Random

import pytest
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput

from diagtree.graph.serving import builds
from diagtree.practice.car import Bay, Car, draw
from diagtree.practice.drill import asked_by_tree, begin
from diagtree.practice.review import review
from diagtree.practice.trainee import Adviser
from diagtree.report.drill import as_json
from diagtree.source.reader import read
from diagtree.term import drill_screen, practice
from diagtree.term.drill_view import entries, numbered, read_key
from diagtree.term.lines import Streams
from tests.practice.test_drill import LIBRARY
from tests.term.terminals import ALTERNATE, Terminal

STOP = "cautions: {hot: {say: Hot oil., level: warn}, lift: {say: Never on a jack alone., level: stop}}"
# Cautions of every kind, and letters of two cells.
CAREFUL = (
    LIBRARY
    .replace("cautions: {hot: {say: Hot oil., level: warn}}", STOP)
    .replace("cover: {title: Take the cover off, hours: 1, cautions: [hot]}",
             "cover: {title: Take the cover off, hours: 1, cautions: [hot, lift]}")
    .replace("Does it smell?", "Does it smell 油?")
)  # fmt: skip
SIZES = ((40, 12), (80, 24), (200, 50))


@pytest.fixture(scope="module", name="car")
def _car(tmp_path_factory: pytest.TempPathFactory) -> Car:
    path = tmp_path_factory.mktemp("drill") / "library.yaml"
    path.write_text(CAREFUL, encoding="utf-8")
    library = read(str(path)).library
    engine = library.engines["small"]
    car = draw(Bay(library, library.trees["leak"], engine, builds(engine)), 4)
    assert isinstance(car, Car)
    return car


@dataclass
class Hand:
    """Presses keys at random, each once the one before was drawn, and writes down what a pipe would say."""

    source: PipeInput
    random: Random
    lines: list[str] = field(default_factory=list)
    keys: list[str] = field(default_factory=list)  # still to be pressed
    handled: int = 0

    def clock(self) -> float:
        """A clock by which no key is ever held down; asked once a key."""
        self.handled += 1
        return 10.0 * self.handled

    sent: int = 0

    def __call__(self, shown: drill_screen.Screen) -> None:
        """After each time the screen was drawn."""
        shown.clock = self.clock
        if self.handled < self.sent or shown.ended:
            return
        if not self.keys:
            self.keys = self.choose(shown)
        self.sent += 1
        self.source.send_text(self.keys.pop(0))

    def choose(self, shown: drill_screen.Screen) -> list[str]:
        """Keys for the next move."""
        view = shown.view
        if view.check:
            return [read_key(view) if view.kind == "stop" else "\r"]
        if view.beside:
            return ["b"]
        open_ = entries(view)
        pick = self.random.random()
        if pick < 0.15:
            self.lines.append("odds")
            return ["o", "b"]
        if pick < 0.3 and isinstance(asked_by_tree(view.drill), str):
            self.lines.append("tree")
            return ["t"]
        if pick < 0.8 and open_:
            one = self.random.choice(open_)
            self.lines.append(self.random.choice((one.id, str(one.number))))
            place = numbered(view, one.number)
            assert place is not None
            return [*self.random.choice(([*str(one.number)], ["/", *one.id])), "\r"]
        causes = self.random.sample(["seal", "pump"], self.random.randint(1, 2))
        self.lines.append(f"repair {' '.join(causes)}")
        marks = [key for cause in causes for key in (str(1 + ["seal", "pump"].index(cause)), " ")]
        return ["f", *marks, "\r", "e"]


@pytest.mark.parametrize("seed", range(12))
def test_a_drill_by_keys_and_by_lines_comes_to_the_same(car: Car, seed: int) -> None:
    with create_pipe_input() as source:
        hand = Hand(source, Random(seed))
        left = drill_screen.practise(begin(car), source, DummyOutput(), feed=hand)
    typed = Streams(StringIO("\n".join(hand.lines) + "\n"), StringIO(), StringIO(), terminal=False)
    by_lines = practice.practise(begin(car), typed)
    assert left.drill.ended is not None
    assert typed.err.getvalue() == ""  # type: ignore[attr-defined]
    adviser = Adviser()
    assert as_json(review(left.drill, adviser), "usual") == as_json(review(by_lines, adviser), "usual")


class Drilling(Terminal):
    """A drill on a real terminal."""

    def __init__(self, folder: Path, columns: int, rows: int, *options: str, **environment: str) -> None:
        file = folder / "library.yaml"
        file.write_text(CAREFUL, encoding="utf-8")
        self.options = ["drill", "leak", "--seed", "4", *options]
        super().__init__(file, columns, rows, **environment)

    def argv(self, library: Path) -> list[str]:
        """The program with this library."""
        return [*super().argv(library)[:5], *self.options]


@pytest.mark.parametrize("size", SIZES, ids=[f"{columns}x{rows}" for columns, rows in SIZES])
def test_a_drill_from_the_car_to_its_review(tmp_path: Path, size: tuple[int, int]) -> None:
    terminal = Drilling(tmp_path, *size)
    shown = terminal.until("Which check?")
    assert "\x1b[?1000h" not in terminal.raw  # the mouse is never captured
    for _ in range(30):
        if "> 4" in shown:
            break
        terminal.child.send("\x1b[B")
        terminal.settle()
        shown = terminal.shown
    row = terminal.screen.cursor.y
    assert terminal.screen.display[row].startswith("> 4  inside"), shown
    assert not terminal.screen.cursor.hidden
    # A caution of level `stop` wants its key: no Enter, and nothing pasted.
    terminal.press("\r", "Before it is done", "STOP:", "Never on a jack alone.")
    terminal.child.send("\x1b[200~y\r\x1b[201~")
    terminal.press("1", "Read the caution first")
    terminal.press("y", "Warning: Hot oil.")
    terminal.press("\r", "Worn inside?")
    terminal.until("110.00 EUR")
    terminal.press("f", "What is to be mended?")
    terminal.press("2", "> 2  [ ] Pump worn")
    terminal.press(" ", "> 2  [x] Pump worn")
    terminal.press("\r", "This ends it")
    terminal.press("e", "What it was worth" if size[1] > 12 else "end", "It was: ")
    terminal.press("\x1b[6~", "EUR")
    terminal.child.send("q")
    rest = terminal.end()
    assert terminal.child.exitstatus == 0
    after = rest.rpartition(ALTERNATE + "l")[2]
    assert "It was: " in after
    assert "--seed 4 --level usual" in after
    assert "Which check?" not in after


def test_an_interrupt_restores_the_terminal(tmp_path: Path) -> None:
    terminal = Drilling(tmp_path, 80, 24)
    terminal.until("Which check?")
    terminal.child.send("\x03")
    rest = terminal.end()
    assert terminal.child.exitstatus == 130
    assert ALTERNATE + "l" in rest
    terminal.stream.feed(rest)
    assert not terminal.screen.cursor.hidden
    assert "Traceback" not in rest


def test_leaving_is_asked_once_and_has_no_result(tmp_path: Path) -> None:
    terminal = Drilling(tmp_path, 80, 24)
    terminal.until("Which check?")
    terminal.press("q", "Leave without a result?")
    terminal.press("b", "Which check?")
    terminal.press("q", "Leave without a result?")
    time.sleep(0.8)  # the same key at once may be held down
    terminal.child.send("q")
    rest = terminal.end()
    assert terminal.child.exitstatus == 0
    assert "It has no result." in rest.rpartition(ALTERNATE + "l")[2]


def test_a_terminal_without_letters_and_colours_shows_stand_ins(tmp_path: Path) -> None:
    terminal = Drilling(tmp_path, 80, 24, PYTHONIOENCODING="ascii", NO_COLOR="1")
    terminal.until("Does it smell U+6CB9?")
    terminal.press("4", "> 4  inside")
    terminal.press("\r", "STOP:")
    assert not re.search(r"\x1b\[(?:\d+;)*3\d(?:;\d+)*m", terminal.raw)
    terminal.child.close(force=True)


def test_a_dumb_terminal_is_asked_line_by_line_and_waits_at_a_stop(tmp_path: Path) -> None:
    terminal = Drilling(tmp_path, 80, 24, TERM="dumb")
    terminal.until("'help' tells what else")
    terminal.press("inside\n", "Type y and Enter when you have read this.")
    terminal.press("\n", "Type y")
    terminal.press("y\n", "Worn inside?", "Paid so far")
    terminal.child.send("repair pump\n")
    rest = terminal.end()
    assert "\x1b" not in terminal.raw
    assert "Working out what each choice was worth" in rest
    assert "It was: " in rest


def test_a_class_goes_person_by_person_on_the_screen(tmp_path: Path) -> None:
    names, results = tmp_path / "names.txt", tmp_path / "lesson.jsonl"
    names.write_text("Ann\nBert\n")
    terminal = Drilling(tmp_path, 80, 24, "--class", str(names), "--cars", "1", "--results", str(results))
    for name in ("Ann", "Bert"):
        terminal.until(f"{name}, car 1.", "Press Enter")
        terminal.press("\r", "Which check?")
        terminal.press("f", "What is to be mended?")
        terminal.press("1", "> 1  [ ] Seal leaks")
        terminal.press("\r", "This ends it")
        terminal.child.send("e")
    terminal.end()
    assert terminal.child.exitstatus == 0
    done = [json.loads(line) for line in results.read_text().splitlines()]
    assert [(one["name"], one["named"]) for one in done] == [("Ann", ["seal"]), ("Bert", ["seal"])]
