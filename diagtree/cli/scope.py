"""`diagtree scope FAULT...`: the work and the parts that mend these faults together."""

import sys
from argparse import ArgumentParser, Namespace

from diagtree.cli import shared, streams

NAME = "scope"
HELP = "work, hours and parts for one or more faults"


def add_arguments(parser: ArgumentParser) -> None:
    """Fault ids, the library, the engine and what is known of the build."""
    parser.add_argument("faults", nargs="+", metavar="FAULT", help="fault ids")
    shared.add_build(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Print the scope; 2 with a sentence where a fault, the engine or the build does not fit."""
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    # Imported here so that `--help` and a mistyped option answer without the solver and the graphs.
    from diagtree.scope.request import request

    engine = shared.choose_engine(library, args)
    if isinstance(engine, str):
        return shared.refuse(engine)
    chosen = shared.choose_builds(engine, args)
    if isinstance(chosen, str):
        return shared.refuse(chosen)
    wanted = request(library, chosen[1], args.faults)
    if isinstance(wanted, str):
        return shared.refuse(wanted)
    from diagtree.report.lines import COLUMNS
    from diagtree.report.scope import as_json, as_text
    from diagtree.scope.scope import scope

    result = scope(library, engine, wanted.builds, wanted.faults)
    columns = streams.columns(sys.stdout, COLUMNS)
    sys.stdout.write(as_json(result) if args.json else as_text(result, columns))
    return shared.DONE
