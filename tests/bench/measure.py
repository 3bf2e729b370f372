"""Timing two sides in turn, and the row that comes of it."""

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """One yardstick: a ratio, and what it should reach and beat. `least`: more is better."""

    what: str
    against: str
    ratio: float
    reach: float
    beat: float
    note: str = ""
    least: bool = False

    @property
    def verdict(self) -> str:
        """In words."""
        sign = -1 if self.least else 1
        if sign * self.ratio <= sign * self.beat:
            return "beaten"
        return "reached" if sign * self.ratio <= sign * self.reach else "missed"


def in_turn(ours: Callable[[], object], theirs: Callable[[], object], runs: int = 7) -> tuple[float, float]:
    """Medians of both in seconds, A B A B, after one run of each that does not count."""
    ours(), theirs()
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(runs):
        for side, work in enumerate((ours, theirs)):
            begun = time.perf_counter()
            work()
            times[side].append(time.perf_counter() - begun)
    return statistics.median(times[0]), statistics.median(times[1])


def process(argv: Sequence[str]) -> Callable[[], object]:
    """A whole process of this Python, with its compiled files kept as an installed package has them."""
    command = [sys.executable, *argv]
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    null = subprocess.DEVNULL
    return lambda: subprocess.run(command, check=True, env=env, stdout=null, stderr=null)
