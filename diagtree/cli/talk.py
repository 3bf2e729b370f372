"""Standard streams for whoever is asked line by line."""

import io
import os
import sys
from contextlib import suppress
from typing import TYPE_CHECKING, TextIO

from diagtree.cli import streams

if TYPE_CHECKING:
    from diagtree.term.lines import Streams


def typed() -> bool:
    """Whether somebody types: standard input is a terminal."""
    return sys.stdin is not None and not sys.stdin.closed and sys.stdin.isatty()


def screen(*, lines: bool) -> bool:
    """Whether there is a terminal that can show a full screen, and nobody asked for lines."""
    return typed() and sys.stdout.isatty() and not lines and os.environ.get("TERM") not in {None, "", "dumb"}


def by_lines(*, apart: bool) -> "Streams":
    """The streams of a dialogue line by line.

    Args:
        apart: questions go to standard error, as standard output holds something else.
    """
    from diagtree.report.lines import COLUMNS
    from diagtree.term.lines import Streams

    err: TextIO = sys.stderr or io.StringIO()
    # Whoever types must see the question, also where standard output is a file.
    out = err if apart or (typed() and not sys.stdout.isatty()) else sys.stdout
    return Streams(replies(), out, err, typed(), streams.columns(out, COLUMNS))


def replies() -> TextIO:
    """Standard input, whatever its bytes; nothing where it is closed."""
    if sys.stdin is None or sys.stdin.closed:
        return io.StringIO()
    with suppress(AttributeError, ValueError, OSError):
        sys.stdin.reconfigure(errors="replace")  # type: ignore[union-attr]
    return sys.stdin
