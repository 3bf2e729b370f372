"""`diagtree scope FAULT...`: the work and the parts that mend these faults together."""

import sys
from argparse import ArgumentParser, Namespace

from diagtree.cli import shared, sheets, streams

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from diagtree.cli.sessions import Bay
    from diagtree.scope.scope import Scope
    from diagtree.walk.result import Result

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

    believed = _believed(result, car)
    written = _printed(result, car, believed, args) if args.sheet is not None else None
    if isinstance(written, str):
        return shared.refuse(written)
    columns = streams.columns(sys.stdout, COLUMNS)
    if args.json:
        from diagtree.report.walk import scope_data

        beside = scope_data(*believed) if believed else {}
        sys.stdout.write(as_json(result, beside | ({"sheet": written} if written else {})))
    elif written:
        streams.show(sheets.sentence(written))
    else:
        from diagtree.report.walk import scope_text

        streams.show((f"{scope_text(*believed, columns)}\n" if believed else "") + as_text(result, columns))
    return shared.DONE


def _believed(result: "Scope", car: "Bay") -> "tuple[Result, float | None] | None":
    """What a job's walk says, and how often the car would come back after this scope; None without a job."""
    if car.session is None:
        return None
    from diagtree.walk.result import left_by
    from diagtree.walk.result import result as walked

    return walked(car.session), left_by(car.session, result.faults)


def _printed(
    result: "Scope", car: "Bay", believed: "tuple[Result, float | None] | None", args: Namespace
) -> "dict[str, Any] | str":
    if believed is not None:
        from diagtree.cli import jobsheets

        found, residual = believed
        if args.faults:  # those that were named come from no tree
            return jobsheets.of_named(result, found, residual, car.job, args)
        return jobsheets.of_outcome(result.library, found, car.job, args)
    from diagtree.jobs.digest import of_library
    from diagtree.report.sheets.heading import Heading
    from diagtree.report.sheets.job import job_sheet
    from diagtree.report.sheets.paper import PAPERS

    known = Heading(printed=sheets.today(), library=of_library(result.library))
    return sheets.write(args, job_sheet(result, known, PAPERS[sheets.paper(args)]))
