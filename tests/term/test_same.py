"""A walk by keys and the same walk by lines come to the same, whatever is replied."""

import json
import re
from dataclasses import dataclass, field
from functools import lru_cache
from io import StringIO
from pathlib import Path
from random import Random

import pytest
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput

from diagtree.graph.serving import builds, served
from diagtree.model.library import Library
from diagtree.report.walk import as_json
from diagtree.source.reader import read
from diagtree.term import lines, screen
from diagtree.term.thoughts import Kind, Lines, Thoughts
from diagtree.term.view import entries, question, read_key
from diagtree.walk.changes import elsewhere, given
from diagtree.walk.replies import Case
from diagtree.walk.result import result
from diagtree.walk.session import Session, begin
from tests.term.terminals import Terminal
from tests.term.test_lines import run
from tests.walk.samples import NOISE, start

ROOT = Path(__file__).resolve().parents[2]
STEPS = 14
ENOUGH = 2000  # keys, of which no walk here takes a tenth
TYPED = (
    "95",
    "104 kPa",
    "14 psi",
    "0.4",
    "P0016+P0018",
    "P0016",
    "-",
    "nan",
    "1e308",
    "intake-1:-4,exhaust-1:-3",
    "none",
)


class Blank(Thoughts):
    """No thoughts: they take time, and change nothing."""

    def of(self, kind: Kind, session: Session, detail: str = "") -> Lines | None:  # noqa: ARG002
        return ()


@dataclass
class Hand:
    """Presses keys at random, each once the one before was drawn, and writes down what a pipe would say."""

    source: PipeInput
    random: Random
    lines: list[str] = field(default_factory=list)
    keys: list[str] = field(default_factory=list)  # still to be pressed
    handled: int = 0
    sent: int = 0

    def clock(self) -> float:
        """A clock by which no key is ever held down; asked once a key."""
        self.handled += 1
        return 10.0 * self.handled

    def __call__(self, shown: screen.Screen) -> None:
        """After each time the screen was drawn."""
        shown.thoughts, shown.clock = Blank(), self.clock
        if self.handled < self.sent or shown.view.left:
            return
        if self.sent > ENOUGH:  # a screen that no key leaves: end it, so that the test fails
            self.source.close()
            return
        if not self.keys:
            self.keys = self.choose(shown)
        self.sent += 1
        self.source.send_text(self.keys.pop(0))

    def choose(self, shown: screen.Screen) -> list[str]:
        """Keys for the next reply."""
        view, session = shown.view, shown.view.session
        if view.kind == "stop" or len(self.lines) >= STEPS:
            return [read_key(session) if view.kind == "stop" else "\x11"]
        pick = self.random.random()
        if pick < 0.1 and session.replies:
            self.lines.append("back")
            return ["\x02"] if view.kind == "type" else ["b"]
        aside = ["\t"] if view.kind == "type" else []
        if pick < 0.15 and elsewhere(session):
            place = self.random.randrange(min(9, len(elsewhere(session))))
            self.lines.append(f"jump {elsewhere(session)[place].id}")
            return [*aside, "j", str(place + 1)]
        if pick < 0.25 and any(one.check for one in given(session)[:9]):
            return self.revise(session, aside)
        return ["\x11"] if view.kind == "end" else self.reply(shown)

    def revise(self, session: Session, aside: list[str]) -> list[str]:
        """An earlier answer told anew, as one that can't be told or by its first answer."""
        place = self.random.choice([at for at, one in enumerate(given(session)[:9]) if one.check])
        check = session.case.library.checks[given(session)[place].check]
        picked = check.kind == "choice"
        self.lines.append(f"revise {place + 1} {check.answers[0].id if picked else '?'}")
        return [*aside, "r", str(place + 1), "1" if picked else "?"]

    def reply(self, shown: screen.Screen) -> list[str]:
        """An answer to the question."""
        asked = question(shown.view)
        assert asked
        assert not entries(shown.view)
        if self.random.random() < 0.1:
            self.lines.append("?")
            return ["?"] if not shown.view.typed else ["\x15", "?"]
        if asked.manner == "pick":
            place = self.random.randrange(min(9, len(asked.choices)))
            self.lines.append(asked.choices[place].id)
            return [str(place + 1)]
        text = self.random.choice((*TYPED, self.random.choice(asked.choices).id))
        self.lines.append(text)
        return ["\x15", *text, "\r"]


@lru_cache
def demo() -> Library:
    """The demo library."""
    return read(str(ROOT / "trees")).library


def beginnings() -> list[Session]:
    """A walk in each tree of the demo, for each engine; and one in the sample."""
    made = demo()
    found = [start(NOISE, "rattle")]
    for tree in made.trees.values():
        for engine in served(made, tree):
            session = begin(Case(made, tree, engine, builds(engine), {}))
            assert isinstance(session, Session)
            found.append(session)
    return found


@pytest.mark.parametrize("seed", range(24))
def test_keys_and_lines_come_to_the_same(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lines, "hint_lines", lambda _: [])  # the advice takes longest, and changes nothing
    starts = beginnings()
    session = starts[seed % len(starts)]
    with create_pipe_input() as source:
        hand = Hand(source, Random(seed))
        by_keys = screen.walk(session, source, DummyOutput(), feed=hand)
    out, err = StringIO(), StringIO()
    typed = StringIO("".join(f"{line}\n" for line in hand.lines))
    by_lines = lines.walk(session, lines.Streams(typed, out, err, terminal=False))
    assert as_json(result(by_keys)) == as_json(result(by_lines))
    assert "\x1b" not in out.getvalue() + err.getvalue()


def test_keys_on_a_real_terminal_and_a_pipe_come_to_the_same(tmp_path: Path) -> None:
    file = tmp_path / "noise.yaml"
    file.write_text(NOISE, encoding="utf-8")
    terminal = Terminal(file, 80, 24)
    terminal.until("Press y")
    terminal.press("y", "question 1")
    terminal.press("2", "question 2")
    terminal.press("104", "> 104")
    terminal.press("\r", "question 3")
    terminal.press("P0016", "> P0016")
    terminal.press("\r", "Press y")
    terminal.press("y", "Are the plates")
    terminal.press("1", "Press y")
    terminal.press("y", "Outcome: Chain")
    terminal.child.send("q")
    shown = terminal.end().rpartition("\x1b[?1049l")[2].partition("Outcome")[2]
    piped = run(file, "rattle", replies="ok\n104\nP0016\nworn\n").stdout.partition("Outcome")[2]
    assert _plain(shown) == _plain(piped)
    typed = run(file, "rattle", "--json", replies="2\n104\nP0016\n1\n")
    assert json.loads(typed.stdout)["outcome"]["faults"] == ["chain-long"]


def _plain(text: str) -> list[str]:
    """The words, without what a terminal obeys."""
    return re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", text).split()
