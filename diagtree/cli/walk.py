"""`diagtree walk TREE`: from the complaint to the repair, check by check."""

import io
import os
import sys
from argparse import ArgumentParser, Namespace
from contextlib import suppress
from typing import TYPE_CHECKING, TextIO

from diagtree.cli import shared, streams

if TYPE_CHECKING:
    from diagtree.walk.session import Session

NAME = "walk"
HELP = "find the fault, check by check"


def add_arguments(parser: ArgumentParser) -> None:
    """The command's own arguments."""
    parser.add_argument("tree", metavar="TREE", help="the tree's id")
    parser.add_argument("--lines", action="store_true", help="ask line by line, in plain characters")
    shared.add_build(parser)
    shared.add_answers(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Walk a tree; then say what it came to."""
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    from diagtree.cli.sessions import begun

    session = begun(library, args)
    return shared.refuse(session) if isinstance(session, str) else _report(_walked(session, args), args)


def _walked(session: "Session", args: Namespace) -> "Session":
    typed = sys.stdin is not None and not sys.stdin.closed and sys.stdin.isatty()
    if typed and sys.stdout.isatty() and not (args.lines or args.json or os.environ.get("TERM") in {None, "", "dumb"}):
        from diagtree.term.screen import walk as on_screen

        return on_screen(session)
    from diagtree.report.lines import COLUMNS
    from diagtree.term.lines import Streams, walk

    # Whoever types must see the question, also where standard output is a file or holds the JSON object.
    apart = args.json or (typed and not sys.stdout.isatty())
    err: TextIO = sys.stderr or io.StringIO()
    out = err if apart else sys.stdout
    return walk(session, Streams(_replies(), out, err, typed, streams.columns(out, COLUMNS)))


def _replies() -> TextIO:
    if sys.stdin is None or sys.stdin.closed:
        return io.StringIO()
    with suppress(AttributeError, ValueError, OSError):
        sys.stdin.reconfigure(errors="replace")  # type: ignore[union-attr]
    return sys.stdin


def _report(session: "Session", args: Namespace) -> int:
    from diagtree.report import walk as render
    from diagtree.report.lines import COLUMNS
    from diagtree.walk.result import result

    found = result(session)
    columns = streams.columns(sys.stdout, COLUMNS)
    sys.stdout.write(render.as_json(found) if args.json else "\n" + render.as_text(found, columns))
    return shared.DONE
