"""`diagtree next TREE`: what to check next, what it costs and what it is worth, and when to stop and repair."""

import sys
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from diagtree.cli import shared, streams

if TYPE_CHECKING:
    from diagtree.walk.advice import Next

NAME = "next"
HELP = "what to check next, and what it is worth"


def add_arguments(parser: ArgumentParser) -> None:
    """The command's own arguments."""
    parser.add_argument("tree", nargs="?", metavar="TREE", help="the tree's id; with --job it is known")
    parser.add_argument("--seconds", type=shared.seconds, metavar="S", help="how long to look for the best order")
    parser.add_argument("--why", metavar="CHECK", help="what a check tells, and what would change the advice")
    shared.add_build(parser)
    shared.add_answers(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Look ahead from the answers known."""
    library = shared.load(args)
    if library is None:
        return shared.WRONG

    from diagtree.cli.sessions import begun

    session = begun(library, args)
    if isinstance(session, str):
        return shared.refuse(session)

    from diagtree.report import advice as render
    from diagtree.walk.advice import look_ahead

    found = look_ahead(session, args.seconds)
    if args.why is not None:
        return _why(found, args)
    if args.json:
        sys.stdout.write(render.as_json(found))
    else:
        streams.show(render.as_text(found))
    return shared.DONE


def _why(found: "Next", args: Namespace) -> int:
    from diagtree.report import why as render
    from diagtree.walk.why import why

    names = [look.check for look in found.looks]
    if args.why not in names:
        return shared.refuse(
            f"'{args.why}' is no check of this tree that may be done now. {shared.nearest(args.why, names)}"
        )
    told = why(found, args.why, args.seconds)
    if args.json:
        sys.stdout.write(render.as_json(found, told))
    else:
        streams.show(render.as_text(found, told))
    return shared.DONE
