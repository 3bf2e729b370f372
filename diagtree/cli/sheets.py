"""What every command with a printed sheet shares: `--sheet`, `--paper`, the day of printing, writing the file."""

import os
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagtree.cli import shared

if TYPE_CHECKING:
    from diagtree.report.sheets.sheet import Sheet

PAPERS = ("A4", "letter")
_DAY = (
    "SOURCE_DATE_EPOCH"  # seconds since 1970, for the same bytes on another day (reproducible-builds.org; from memory)
)


def add_sheet(parser: ArgumentParser, what: str) -> None:
    """`--sheet`, `--paper`. `what`: what is printed, such as 'the job sheet'."""
    parser.add_argument("--sheet", metavar="FILE.pdf", help=f"write {what} for printing into this file")
    parser.add_argument("--paper", type=_paper, choices=PAPERS, help="of the sheet; A4 where nothing is said")


def _paper(text: str) -> str:
    """Papers are known in any case: 'a4', 'Letter'."""
    return next((name for name in PAPERS if name.lower() == text.lower()), text)


def wrong(args: Namespace) -> str:
    """The sentence that says why there can be no such sheet; '' where all is well. Asked before anything is read."""
    if args.sheet is None:
        return "The paper is that of a sheet: add --sheet FILE.pdf." if args.paper else ""
    if Path(args.sheet).suffix.lower() != ".pdf":
        return f"'{args.sheet}' is no name for a sheet: end it in .pdf."
    return ""


def paper(args: Namespace) -> str:
    """The paper asked for."""
    return args.paper or PAPERS[0]


def today() -> str:
    """The day that a sheet names as that of its printing, ISO 8601."""
    from datetime import UTC, datetime

    stated = os.environ.get(_DAY, "")
    if stated.isdecimal() and len(stated) <= 11:
        return datetime.fromtimestamp(int(stated), UTC).date().isoformat()
    return datetime.now().astimezone().date().isoformat()


def write(args: Namespace, made: "Sheet") -> dict[str, Any] | str:
    """Write the sheet, whole or not at all, in place of what was there.

    Returns:
        What was written, as data; else the sentence that says why nothing was.
    """
    from diagtree.draw.saving import save
    from diagtree.report.sheets import pdf

    refusal = save(Path(args.sheet), pdf.paint(made))
    if refusal:
        return refusal.sentence
    return {"file": args.sheet, "pages": len(made.pages), "paper": made.paper.name}


def sentence(facts: dict[str, Any]) -> str:
    """The same for people."""
    pages = "1 page" if facts["pages"] == 1 else f"{facts['pages']} pages"
    return shared.safe(f"Wrote {facts['file']}: {pages}, {facts['paper']}.") + "\n"
