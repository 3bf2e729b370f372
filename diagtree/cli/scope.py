"""`diagtree scope FAULT...`: the work and the parts that mend these faults together."""

import sys
from argparse import ArgumentParser, Namespace

from diagtree.cli import shared, sheets, streams

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from diagtree.scope.scope import Scope

NAME = "scope"
HELP = "work, hours and parts for one or more faults"


def add_arguments(parser: ArgumentParser) -> None:
    """Fault ids, the library, the engine and what is known of the build."""
    parser.add_argument("faults", nargs="+", metavar="FAULT", help="fault ids")
    shared.add_build(parser)
    shared.add_job(parser)
    sheets.add_sheet(parser, "the job sheet")
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Print the scope; 2 with a sentence where a fault, the engine or the build does not fit."""
    unfit = sheets.wrong(args)
    if unfit:
        return shared.refuse(unfit)
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    # Imported here so that `--help` and a mistyped option answer without the solver and the graphs.
    from diagtree.cli.sessions import bay
    from diagtree.scope.request import request

    car = bay(library, args)
    if isinstance(car, str):
        return shared.refuse(car)
    wanted = request(library, car.builds, args.faults)
    if isinstance(wanted, str):
        return shared.refuse(wanted)
    from diagtree.scope.scope import scope

    return _show(scope(library, car.engine, wanted.builds, wanted.faults, car.opened), args)


def _show(result: "Scope", args: Namespace) -> int:
    from diagtree.report.lines import COLUMNS
    from diagtree.report.scope import as_json, as_text

    written = _printed(result, args) if args.sheet is not None else None
    if isinstance(written, str):
        return shared.refuse(written)
    if args.json:
        sys.stdout.write(as_json(result, written))
    else:
        columns = streams.columns(sys.stdout, COLUMNS)
        streams.show(sheets.sentence(written) if written else as_text(result, columns))
    return shared.DONE


def _printed(result: "Scope", args: Namespace) -> "dict[str, Any] | str":
    from diagtree.report.sheets.heading import Heading
    from diagtree.report.sheets.job import job_sheet
    from diagtree.report.sheets.paper import PAPERS

    made = job_sheet(result, Heading(printed=sheets.today()), PAPERS[sheets.paper(args)])
    return sheets.write(args, made)
