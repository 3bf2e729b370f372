"""Sheets for tests: the demo and small libraries, and a PDF opened again by two other libraries."""

import io
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import pypdf
import pypdfium2

from diagtree.graph.serving import builds
from diagtree.model.library import Library
from diagtree.report.sheets import pdf
from diagtree.report.sheets.heading import Heading
from diagtree.report.sheets.job import job_sheet
from diagtree.report.sheets.paper import PAPERS
from diagtree.report.sheets.sheet import Sheet
from diagtree.scope.scope import Scope, scope
from diagtree.source.reader import read

TREES = Path(__file__).resolve().parents[3] / "trees"


@cache
def demo() -> Library:
    return read(str(TREES)).library


def scoped(*faults: str, engine: str = "brennick-v8", build: str = "", library: Library | None = None) -> Scope:
    """The scope of faults of a library, by default the demo; all builds are open where none is named."""
    known = library or demo()
    motor = known.engines[engine]
    every = [motor.builds[build]] if build else list(builds(motor))
    return scope(known, motor, every, [known.faults[name] for name in faults])


def made(work: Scope, heading: Heading | None = None, paper: str = "A4") -> Sheet:
    return job_sheet(work, heading or Heading(printed="2026-11-25"), PAPERS[paper])


def bare(text: str) -> str:
    """A text without its blanks and line ends: where it was wrapped does not matter."""
    return "".join(text.replace("\u00ad", "").split())


def texts(sheet: Sheet) -> tuple[str, str]:
    """The whole text of the sheet's PDF, as two libraries read it."""
    data = pdf.paint(sheet)
    one = "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data), strict=True).pages)
    document = pypdfium2.PdfDocument(data)
    other = "\n".join(document[at].get_textpage().get_text_bounded() for at in range(len(document)))
    # PDFium reads a hyphen that a word was broken with as this mark.
    return bare(one), bare(other.replace("\x02", ""))


def said(sheet: Sheet) -> str:
    """The words of a sheet in the order in which they were set."""
    return bare("\n".join(words.text for words in sheet.words))


def page_said(sheet: Sheet, page: int) -> list[str]:
    """The lines of words of a page, in order."""
    return [mark.text for mark in sheet.pages[page] if hasattr(mark, "text")]


def pixels(data: bytes, page: int, scale: float = 1.0) -> tuple[int, int, Sequence[int]]:
    """Width, height and grey values of a page."""
    picture = pypdfium2.PdfDocument(data)[page].render(scale=scale, grayscale=True).to_pil()
    return picture.width, picture.height, picture.tobytes()
