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
PATIENCE = 60.0  # seconds until a screen that never comes is given up; nothing is timed
# Seconds between two looks at a program that waits. What it begins by itself after a key, it begins sooner.
PAUSE = 0.06


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

    def read(self, timeout: float = 0.1) -> None:
        """Take in what the program has written."""
        try:
            text = self.child.read_nonblocking(100_000, timeout=timeout)
        except pexpect.TIMEOUT:
            return
        self.raw += text
        self.stream.feed(text)

    def until(self, *texts: str) -> str:
        """The screen once it shows all of these."""
        give_up = time.monotonic() + PATIENCE
        while not all(text in shown for shown in (self.shown,) for text in texts):
            assert time.monotonic() < give_up, self.shown
            self.read()
        return self.shown

    def settle(self) -> None:
        """Take in what is written until the program waits for a key, and has nothing more to write.

        A key that does nothing writes nothing. So it is the program that is looked at, not the clock: on a loaded
        machine it is ready to run for as long as it takes, and that is seen.
        """
        give_up = time.monotonic() + PATIENCE
        quiet = 0
        while quiet < 2:
            assert time.monotonic() < give_up, self.shown
            before = self.raw
            self.read(PAUSE)
            quiet = quiet + 1 if self.waits and self.raw == before else 0

    @property
    def waits(self) -> bool:
        """Whether each of the program's threads sleeps; where the system does not tell, they are taken to."""
        tasks = Path(f"/proc/{self.child.pid}/task").glob("*/stat")
        return all(task.read_text().rpartition(")")[2].split()[0] == "S" for task in tasks)

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
