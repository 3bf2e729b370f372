"""The walk on the screen: from a key to the screen redrawn, and from the command to the first question.

Every key of a walk through the demo is timed, on the engine with the most builds; the slowest and the middle one count.
The screen is that of prompt_toolkit, its bytes written to memory, 200 columns by 50 rows, the advice worked out beside.
The same is laid out once more with belief and advice worked out at once.
"""

import os
import pty
import re
import select
import statistics
import struct
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from fcntl import ioctl
from io import BytesIO, TextIOWrapper
from pathlib import Path
from termios import TIOCSWINSZ

from prompt_toolkit.data_structures import Size
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output.vt100 import Vt100_Output

from diagtree.graph.serving import builds, served
from diagtree.source.reader import read
from diagtree.term import screen
from diagtree.term.pressing import opened, press
from diagtree.term.sheet import lay_out
from diagtree.term.thoughts import Thoughts
from diagtree.term.view import View, read_key
from diagtree.walk.replies import Case
from diagtree.walk.session import Session, begin
from tests.bench.measure import Row

ROOT = Path(__file__).resolve().parents[2]
LIMIT = 0.050  # seconds from a key to the screen
BEAT = 0.016 / LIMIT
SIZE = (200, 50)
TREE = "rattle-on-cold-start"
ENGINE = "brennick-v8"
_RUNS = 3
_QUIET = re.compile(rb"\x1b\[[0-9;?]*[A-Za-z]")


def rows() -> Iterator[Row]:
    """The yardsticks of the screen."""
    redrawn = [second for _ in range(_RUNS) for second in _redrawn()]
    yield from _timed("a key to the screen redrawn, advice beside", redrawn)
    laid = [second for _ in range(_RUNS) for second in _laid()]
    yield from _timed("a key to the rows laid out, with belief and advice", laid)
    yield _first_question()


def _timed(what: str, seconds: Sequence[float]) -> Iterator[Row]:
    ordered = sorted(seconds)
    for name, found in (("slowest", ordered[-1]), ("middle", statistics.median(ordered))):
        note = f"{found * 1e3:.1f} ms of {len(ordered)} keys"
        yield Row(f"{what}: {name}", "50 ms", found / LIMIT, 1.0, BEAT, note)


def _start() -> Session:
    library = read(str(ROOT / "trees")).library
    tree = library.trees[TREE]
    engine = next(one for one in served(library, tree) if one.id == ENGINE)
    session = begin(Case(library, tree, engine, builds(engine), {}))
    assert isinstance(session, Session)
    return session


def _keys(view: View) -> list[str]:
    """Keys for the next reply: codes and readings typed, else the second answer."""
    if view.kind == "stop":
        return [read_key(view.session)]
    if view.kind == "end":
        return ["i", "b", "\x11"]
    if view.kind == "type":
        check = view.session.check
        return [*("-" if check and check.kind == "codes" else "50"), "\r"]
    return ["\x1b[B", "2"]


@dataclass
class _Clocked:
    """Presses keys and times each until the screen that it led to was drawn."""

    source: PipeInput
    keys: list[str] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    sent: float = 0.0
    before: View | None = None

    def __call__(self, shown: screen.Screen) -> None:
        """After each time the screen was drawn."""
        if self.before is not None and self.before is shown.view and time.perf_counter() - self.sent < 1.0:
            return  # drawn for a thought, before the key had come
        if self.before is not None:
            self.seconds.append(time.perf_counter() - self.sent)
        if shown.view.left:
            return
        shown.clock = lambda: 10.0 * len(self.seconds)
        self.keys = self.keys or _keys(shown.view)
        self.before, self.sent = shown.view, time.perf_counter()
        self.source.send_text(self.keys.pop(0))


def _redrawn() -> list[float]:
    written = TextIOWrapper(BytesIO(), "utf-8")
    target = Vt100_Output(written, lambda: Size(rows=SIZE[1], columns=SIZE[0]), term="xterm-256color")
    with create_pipe_input() as source:
        clocked = _Clocked(source)
        screen.walk(_start(), source, target, feed=clocked)
    return clocked.seconds


def _laid() -> list[float]:
    thoughts = Thoughts()
    view = opened(_start())
    lay_out(view, *SIZE, thoughts)
    seconds = []
    names = {"\r": "enter", "\x1b[B": "", "\x11": "leave"}
    while not view.left:
        for key in [names.get(one, one) for one in _keys(view)]:
            begun = time.perf_counter()
            view = press(view, key) if key else view
            lay_out(view, *SIZE, thoughts)
            seconds.append(time.perf_counter() - begun)
    return seconds


def _first_question() -> Row:
    """From the command to the first question on a terminal, against an empty full screen of prompt_toolkit."""
    empty = (
        "from prompt_toolkit import Application;"
        "from prompt_toolkit.layout import Layout, Window, FormattedTextControl as F;"
        "Application(Layout(Window(F('Which'))), full_screen=True).run()"
    )
    ours = ["-m", "diagtree", "walk", TREE, "--engine", ENGINE, "--no-job"]
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(5):
        for side, argv in enumerate((ours, ["-c", empty])):
            times[side].append(_until_shown([sys.executable, *argv], b"Which"))
    mine, bare = (statistics.median(each) for each in times)
    return Row(
        "command to first question",
        "an empty screen",
        mine / bare,
        3.0,
        2.0,
        f"{mine * 1e3:.0f} ms, {bare * 1e3:.0f} ms",
    )


def _until_shown(argv: Sequence[str], text: bytes) -> float:
    """Seconds until a program shows a text on a terminal of its own."""
    ours, theirs = pty.openpty()
    ioctl(theirs, TIOCSWINSZ, struct.pack("HHHH", SIZE[1], SIZE[0], 0, 0))
    env = {**os.environ, "TERM": "xterm-256color"}
    begun = time.perf_counter()
    child = subprocess.Popen(
        argv, stdin=theirs, stdout=theirs, stderr=theirs, cwd=ROOT, env=env, start_new_session=True
    )
    shown = b""
    try:
        while text not in _QUIET.sub(b"", shown):
            ready, _, _ = select.select([ours], [], [], 20.0)
            assert ready, shown
            shown += os.read(ours, 65536)
            if b"\x1b[6n" in shown:  # it asks where the cursor is
                with suppress(OSError):
                    os.write(ours, b"\x1b[1;1R")
        return time.perf_counter() - begun
    finally:
        child.kill()
        child.wait()
        os.close(ours)
        os.close(theirs)
