"""`diagtree scope FAULT...`: the work and the parts that mend these faults together."""

import sys
from argparse import ArgumentParser, Namespace

from diagtree.cli import shared, sheets, streams

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from diagtree.cli.sessions import Bay
    from diagtree.scope.scope import Scope

NAME = "scope"
HELP = "work, hours and parts for one or more faults"


def add_arguments(parser: ArgumentParser) -> None:
    """Fault ids, the library, the engine and what is known of the build."""
    parser.add_argument("faults", nargs="*", metavar="FAULT", help="fault ids; with --job those of its outcome")
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
    faults = args.faults or _of_outcome(car)
    if isinstance(faults, str):
        return shared.refuse(faults)
    wanted = request(library, car.builds, faults)
    if isinstance(wanted, str):
        return shared.refuse(wanted)
    from diagtree.scope.scope import scope

    return _show(scope(library, car.engine, wanted.builds, wanted.faults, car.opened), car, args)


def _of_outcome(car: "Bay") -> list[str] | str:
    """The faults that the job's walk came to; else the sentence that says why there are none."""
    if car.session is None or car.job is None:
        return "Name a fault, or a job with --job that has come to its outcome."
    outcome = car.session.outcome
    found = [name for name in outcome.faults if name in car.session.case.library.faults] if outcome else []
    return found or f"Job {car.job.number} has come to no outcome yet: go on with it, or name a fault."


def _show(result: "Scope", car: "Bay", args: Namespace) -> int:
    from diagtree.report.lines import COLUMNS
    from diagtree.report.scope import as_json, as_text

    written = _printed(result, car, args) if args.sheet is not None else None
    if isinstance(written, str):
        return shared.refuse(written)
    if args.json:
        sys.stdout.write(as_json(result, written))
    else:
        columns = streams.columns(sys.stdout, COLUMNS)
        streams.show(sheets.sentence(written) if written else as_text(result, columns))
    return shared.DONE


def _printed(result: "Scope", car: "Bay", args: Namespace) -> "dict[str, Any] | str":
    if car.session is not None:
        from diagtree.cli.jobsheets import of_scope

        # Faults that were named come from no tree.
        return of_scope(result, car.session, car.job, args, from_tree=not args.faults)
    from diagtree.report.sheets.heading import Heading
    from diagtree.report.sheets.job import job_sheet
    from diagtree.report.sheets.paper import PAPERS

    made = job_sheet(result, Heading(printed=sheets.today()), PAPERS[sheets.paper(args)])
    return sheets.write(args, made)
