"""`diagtree vet [PATH]`: the mistakes of a library, each with its place and its cure."""

import sys
from argparse import ArgumentParser, Namespace

from diagtree.cli import shared

NAME = "vet"
HELP = "find the mistakes of a library"


def add_arguments(parser: ArgumentParser) -> None:
    """The command's own arguments."""
    parser.add_argument("path", nargs="?", metavar="PATH", help="a library's folder or file")
    shared.add_library(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Vet a library. 0 where nothing is found, 1 where something is."""
    from diagtree.report import problems as render
    from diagtree.rules.registry import vetting
    from diagtree.source.reader import read

    if args.path is not None:
        args.library = args.path
    found = read(shared.library_path(args))
    problems = sorted([*found.problems, *vetting(found.library, whole=found.whole)])
    sys.stdout.write(render.as_json(problems) if args.json else render.as_text(problems, found.texts, summary=True))
    return shared.PROBLEMS if problems else shared.DONE
