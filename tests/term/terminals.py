"""The program on a real terminal, and what that terminal shows."""

import os
import shlex
import sys
import time
from pathlib import Path
from typing import Any

import pexpect
import pyte

ROOT = Path(__file__).resolve().parents[2]
ALTERNATE = "\x1b[?1049"
PATIENCE = 8.0  # seconds until a screen that never comes is given up; nothing is timed


class Terminal:
    """The program on a terminal of this size, and what that terminal shows."""

    def __init__(self, library: Path, columns: int, rows: int, around: str = "", **environment: str) -> None:
        argv = self.argv(library)
        argv = ["bash", "--norc", "-c", around.format(shlex.join(argv))] if around else argv
        settings = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "FORCE_COLOR"}}
        settings |= {"TERM": "xterm-256color", "PYTHONPATH": str(ROOT), **environment}
        self.child: Any = pexpect.spawn(
            argv[0], argv[1:], dimensions=(rows, columns), env=settings, encoding="utf-8", timeout=PATIENCE
        )
        self.screen = pyte.HistoryScreen(columns, rows, history=1000)
        self.stream = pyte.Stream(self.screen)
        self.raw = ""

    def argv(self, library: Path) -> list[str]:
        """The program with this library."""
        return [sys.executable, "-m", "diagtree", "--library", str(library), "walk", "rattle", "--no-job"]

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

    def settle(self) -> None:
        """Take in what is written until nothing was for a while after something was; it may be nothing at all."""
        changed = False
        for _ in range(10):
            before = self.raw
            self.read()
            if changed and self.raw == before:
                return
            changed = changed or self.raw != before

    def press(self, keys: str, *texts: str) -> str:
        """The screen once it shows all of these, after these keys."""
        self.child.send(keys)
        return self.until(*texts)

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
