"""`diagtree walk TREE`: from the complaint to the repair, check by check."""

import sys
from argparse import ArgumentParser, Namespace
from functools import partial
from typing import TYPE_CHECKING, Any

from diagtree.cli import shared, sheets, streams, talk

if TYPE_CHECKING:
    from collections.abc import Mapping

    from diagtree.cli.keeping import Begun
    from diagtree.model.library import Library
    from diagtree.walk.session import Session

# Nodes of a tree that is laid out beside the keys.
_MOST_LAID_OUT = 200

NAME = "walk"
HELP = "find the fault, check by check"


def add_arguments(parser: ArgumentParser) -> None:
    """The command's own arguments."""
    from diagtree.cli import keeping

    parser.add_argument("tree", nargs="?", metavar="TREE", help="the tree's id; a job that goes on knows its own")
    parser.add_argument("--lines", action="store_true", help="ask line by line, in plain characters")
    shared.add_build(parser)
    shared.add_answers(parser)
    keeping.add_arguments(parser)
    sheets.add_sheet(parser, "the job sheet of the outcome")
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Walk a tree; then say what it came to."""
    unfit = sheets.wrong(args)
    if unfit:
        return shared.refuse(unfit)
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    from diagtree.cli.keeping import begun

    walk = begun(library, args, typed=talk.typed())
    return shared.refuse(walk) if isinstance(walk, str) else _report(_kept(walk, library, args), walk, library, args)


def _kept(walk: "Begun", library: "Library", args: Namespace) -> "Session":
    """The walk as it was left, with nothing of it still to be kept if that can be."""
    from diagtree.cli.keeping import ended

    session: Session | None = None
    try:
        session = _walked(walk, library, args)
    finally:
        ended(walk, session)
    return session


def _walked(walk: "Begun", library: "Library", args: Namespace) -> "Session":
    if _on_screen(args):
        from diagtree.term.screen import walk as on_screen

        return on_screen(walk.session, keeper=walk.keeper, address=partial(_addresses, library))
    from diagtree.term.lines import walk as by_lines

    return by_lines(walk.session, talk.by_lines(apart=args.json), keeper=walk.keeper)


def _addresses(library: "Library", tree: str) -> "Mapping[str, str]":
    """Where each node of a tree stands on its poster; nowhere for a tree that takes too long to lay out in passing."""
    if len(library.trees[tree].nodes) > _MOST_LAID_OUT:
        return {}
    from diagtree.draw.addresses import addresses

    return addresses(library, library.trees[tree])


def _on_screen(args: Namespace) -> bool:
    """Whether the walk fills a screen; line by line no escape code is written, in the report at its end neither."""
    return talk.screen(lines=args.lines or args.json)


def _report(session: "Session", walk: "Begun", library: "Library", args: Namespace) -> int:
    from diagtree.report import walk as render
    from diagtree.report.lines import COLUMNS
    from diagtree.walk.result import result

    found = result(session)
    columns = streams.columns(sys.stdout, COLUMNS)
    written: dict[str, Any] | str | None = None
    if args.sheet is not None:
        from diagtree.cli.jobsheets import of_outcome

        written = of_outcome(library, found, walk.job.job if walk.job else None, args)
    facts = written if isinstance(written, dict) else None
    if args.json:
        sys.stdout.write(render.as_json(found, {"sheet": facts} if args.sheet is not None else {}))
    else:
        text = f"\n{render.as_text(found, columns)}" + (f"\n{sheets.sentence(facts)}" if facts else "")
        (streams.show if _on_screen(args) else sys.stdout.write)(text)
    if isinstance(written, str):  # the walk itself stands, and was told
        shared.refuse(written)
        return shared.PROBLEMS
    return shared.DONE
