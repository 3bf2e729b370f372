"""A sheet as a PDF: fonts inside, real text, the same bytes on every run."""

import io
from typing import Any

from diagtree.draw.bidi import visual
from diagtree.draw.lettering import Lettering, canvas, lettering, write
from diagtree.report.sheets.marks import Disc, Frame, Mark, Stroke, Words
from diagtree.report.sheets.sheet import Sheet

_DASH = (2.5, 2.0)


def paint(made: Sheet, language: str = "en") -> bytes:
    """The sheet as a PDF, a page of its paper for each of its pages."""
    fonts = lettering(visual(words.text) for words in made.words)
    file = io.BytesIO()
    paper = canvas(file, made.title, language)
    # As printed, never fitted to the page: blanks and scales keep their size.
    paper.setViewerPreference("PrintScaling", "None")
    for number, page in enumerate(made.pages, 1):
        paper.setPageSize((made.paper.width, made.paper.height))
        paper.bookmarkPage(f"page-{number}")
        paper.addOutlineEntry(f"{made.title}, page {number}", f"page-{number}")
        for mark in page:
            _mark(paper, mark, made.paper.height, fonts)
        paper.showPage()
    paper.save()
    return file.getvalue()


def _mark(paper: Any, mark: Mark, high: float, fonts: Lettering) -> None:
    if isinstance(mark, Words):
        text = paper.beginText(mark.left, high - mark.baseline)
        text.setFillGray(0)
        write(text, fonts, visual(mark.text), mark.size, bold=mark.bold)
        paper.drawText(text)
    elif isinstance(mark, Stroke):
        paper.setLineWidth(mark.pen)
        paper.setStrokeGray(0)
        paper.setDash(list(_DASH) if mark.dashed else [])
        paper.line(mark.left, high - mark.top, mark.right, high - mark.bottom)
        paper.setDash([])
    elif isinstance(mark, Frame):
        _frame(paper, mark, high)
    else:
        _disc(paper, mark, high)


def _frame(paper: Any, mark: Frame, high: float) -> None:
    paper.setLineWidth(mark.pen)
    paper.setStrokeGray(0)
    paper.setFillGray(mark.fill or 0.0)
    bottom = high - mark.top - mark.height
    paper.rect(mark.left, bottom, mark.width, mark.height, stroke=int(mark.pen > 0), fill=int(mark.fill is not None))


def _disc(paper: Any, mark: Disc, high: float) -> None:
    paper.setLineWidth(mark.pen)
    paper.setStrokeGray(0)
    paper.setFillGray(0)
    paper.circle(mark.across, high - mark.down, mark.radius, stroke=int(not mark.filled), fill=int(mark.filled))
