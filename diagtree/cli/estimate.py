"""`diagtree estimate TREE`: what a visit takes in hours and money, before anything is taken apart."""

import os
import sys
from argparse import ArgumentParser, ArgumentTypeError, Namespace
from math import nan
from typing import TYPE_CHECKING, Any

from diagtree.cli import shared, sheets, streams

if TYPE_CHECKING:
    from diagtree.estimate.estimate import Estimate
    from diagtree.jobs.record import Job
    from diagtree.model.library import Library
    from diagtree.reason.belief import Contradiction
    from diagtree.walk.session import Session

NAME = "estimate"
HELP = "hours and money of the visit, before teardown"
_MOST = 1e12  # of an amount
_SLOWEST = 100.0


def add_arguments(parser: ArgumentParser) -> None:
    """The command's own arguments."""
    parser.add_argument("tree", nargs="?", metavar="TREE", help="the tree's id; with --job it is known")
    parser.add_argument(
        "--slow", type=_slow, default=1.0, metavar="X", help="stretch every work step's hours, as by 1.3"
    )
    parser.add_argument("--amount", type=_amount, metavar="MONEY", help="how often this much, with tax, is enough")
    parser.add_argument("--lines", action="store_true", help="print the dots once, also on a terminal: no keys")
    shared.add_build(parser)
    shared.add_answers(parser)
    sheets.add_sheet(parser, "the estimate")
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Reckon the visit from the answers known."""
    unfit = sheets.wrong(args)
    if unfit:
        return shared.refuse(unfit)
    library = shared.load(args)
    if library is None:
        return shared.WRONG

    from diagtree.cli.sessions import begun_job

    begun = begun_job(library, args)
    if isinstance(begun, str):
        return shared.refuse(begun)
    session, job = begun

    from diagtree.estimate.estimate import TooMany
    from diagtree.walk.estimating import estimated

    found = estimated(session, args.slow)
    return shared.refuse(_too_many(found)) if isinstance(found, TooMany) else _tell(found, library, session, job, args)


def _tell(
    found: "Estimate | Contradiction", library: "Library", session: "Session", job: "Job | None", args: Namespace
) -> int:
    """The sheet where one is asked for, else the screen; or all of it as data."""
    from diagtree.estimate.estimate import Estimate
    from diagtree.report import estimate as data
    from diagtree.report import estimate_text as render
    from diagtree.report.lines import COLUMNS

    written = _printed(found, library, session, job, args) if args.sheet is not None else None
    if isinstance(written, str):
        return shared.refuse(written)
    columns = streams.columns(sys.stdout, COLUMNS)
    if args.json:
        sys.stdout.write(data.as_json(found, session, args.amount, {"sheet": written} if written else None))
    elif written:
        sys.stdout.write(sheets.sentence(written))
    elif isinstance(found, Estimate):
        return _show(found, args, columns)
    else:
        sys.stdout.write(render.contradicted(found, columns))
    return shared.DONE


def _printed(
    found: "Estimate | Contradiction", library: "Library", session: "Session", job: "Job | None", args: Namespace
) -> dict[str, Any] | str:
    """Write the estimate's sheet; the sentence that says why not."""
    from diagtree.cli import jobsheets
    from diagtree.estimate.estimate import Estimate
    from diagtree.jobs.digest import of_library
    from diagtree.report.sheets.agreed import agreed
    from diagtree.report.sheets.estimate import Said, estimate_sheet
    from diagtree.report.sheets.found import told
    from diagtree.report.sheets.heading import Heading
    from diagtree.report.sheets.paper import PAPERS

    if not isinstance(found, Estimate):
        return "The answers contradict one another: there is nothing to print. Take them again."
    paper, where = PAPERS[sheets.paper(args)], jobsheets.places(library, session)
    answers = told(library, session, where)
    if job is None:
        heading = Heading(printed=sheets.today(), tree=found.tree, library=of_library(library))
        return sheets.write(args, estimate_sheet(found, heading, paper, args.amount, Said(answers)))
    said = tuple(agreed(job, found.engine, found.library.rates.currency))
    heading = jobsheets.heading(library, session, job, library.trees[found.tree.id], where)
    return sheets.write(args, estimate_sheet(found, heading, paper, args.amount, Said(answers, said)))


def _show(found: "Estimate", args: Namespace, columns: int) -> int:
    from diagtree.report import estimate_text as render

    moved = _movable(args)
    sys.stdout.write(render.as_text(found, args.amount, columns, dots=not moved))
    if moved:
        from diagtree.term.amount_screen import choose

        sys.stdout.write("\n")
        sys.stdout.flush()
        amount = choose(found)
        sys.stdout.write("\n".join([*render.dots_lines(found, amount, columns), ""]))
    return shared.DONE


def _movable(args: Namespace) -> bool:
    """Whether the amount can be moved with keys: somebody sits at a terminal that can draw, and named none."""
    typed = sys.stdin is not None and not sys.stdin.closed and sys.stdin.isatty() and sys.stdout.isatty()
    return typed and not (args.lines or args.amount is not None or os.environ.get("TERM") in {None, "", "dumb"})


def _too_many(found: "object") -> str:
    return (
        f"There are more than {getattr(found, 'states', 0)} ways through this tree: too many to reckon exactly. "
        "Give what is known already with --answer, --build or --feature."
    )


def _slow(text: str) -> float:
    """A factor as typed: above 0."""
    value = _number(text)
    if not 0 < value <= _SLOWEST:
        message = f"'{text}' is no factor: give a number above 0, to {_SLOWEST:g}, such as 1.3"
        raise ArgumentTypeError(message)
    return value


def _amount(text: str) -> float:
    """An amount as typed, at least 0."""
    value = _number(text)
    if not 0 <= value <= _MOST:
        message = f"'{text}' is no amount: give a number from 0, such as 640"
        raise ArgumentTypeError(message)
    return value


def _number(text: str) -> float:
    """A number as typed; what is none is NaN, which is in no range."""
    try:
        return float(text)
    except ValueError:
        return nan
