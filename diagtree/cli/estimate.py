"""`diagtree estimate TREE`: what a visit takes in hours and money, before anything is taken apart."""

import os
import sys
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING, Any

from diagtree.cli import shared, sheets, streams

if TYPE_CHECKING:
    from diagtree.estimate.estimate import Estimate
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
    parser.add_argument("--lines", action="store_true", help="plain characters only, also on a terminal")
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

    from diagtree.cli.sessions import begun

    session = begun(library, args)
    if isinstance(session, str):
        return shared.refuse(session)

    from diagtree.estimate.estimate import TooMany
    from diagtree.walk.estimating import estimated

    found = estimated(session, args.slow)
    return shared.refuse(_too_many(found)) if isinstance(found, TooMany) else _tell(found, session, args)


def _tell(found: "Estimate | Contradiction", session: "Session", args: Namespace) -> int:
    """The sheet where one is asked for, else the screen; or all of it as data."""
    from diagtree.estimate.estimate import Estimate
    from diagtree.report import estimate as data
    from diagtree.report import estimate_text as render
    from diagtree.report.lines import COLUMNS

    written = _printed(found, args) if args.sheet is not None else None
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


def _printed(found: "Estimate | Contradiction", args: Namespace) -> dict[str, Any] | str:
    """Write the estimate's sheet; the sentence that says why not."""
    from diagtree.estimate.estimate import Estimate
    from diagtree.report.sheets.estimate import estimate_sheet
    from diagtree.report.sheets.heading import Heading
    from diagtree.report.sheets.paper import PAPERS

    if not isinstance(found, Estimate):
        return "The answers contradict one another: there is nothing to print. Take them again."
    heading = Heading(job=getattr(args, "job", None) or "", printed=sheets.today(), tree=found.tree)
    return sheets.write(args, estimate_sheet(found, heading, PAPERS[sheets.paper(args)], args.amount))


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
    value = float(text)
    if not 0 < value <= _SLOWEST:
        raise ValueError
    return value


def _amount(text: str) -> float:
    """An amount as typed, at least 0."""
    value = float(text)
    if not 0 <= value <= _MOST:
        raise ValueError
    return value
