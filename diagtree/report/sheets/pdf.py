"""A sheet as a PDF: fonts inside, real text, the same bytes on every run."""

import io
from itertools import count
from typing import Any

from diagtree.draw.bidi import visual
from diagtree.draw.font import clean
from diagtree.draw.lettering import Lettering, canvas, lettering, write
from diagtree.report.sheets.marks import Disc, Frame, Mark, Section, Stroke, Words
from diagtree.report.sheets.sheet import Sheet

_DASH = (2.5, 2.0)
_DAY = 8  # figures of a day


def paint(made: Sheet, language: str = "en") -> bytes:
    """The sheet as a PDF, a page of its paper for each of its pages."""
    fonts = lettering(visual(words.text) for words in made.words)
    file = io.BytesIO()
    paper = canvas(file, made.title, language)
    # As printed, never fitted to the page: blanks and scales keep their size.
    paper.setViewerPreference("PrintScaling", "None")
    _describe(paper, made)
    keys = count()
    for number, page in enumerate(made.pages):
        paper.setPageSize((made.paper.width, made.paper.height))
        if not number:
            _mark(paper, Section(made.title, 0, 0), made.paper.height, fonts, next(keys))
        for mark in page:
            _mark(paper, mark, made.paper.height, fonts, next(keys))
        paper.showPage()
    paper.save()
    return file.getvalue()


def _describe(paper: Any, made: Sheet) -> None:
    """What the file says of itself: whose it is, where it is from, the day on which it was made."""
    paper.setAuthor(made.author)
    paper.setSubject(made.subject)
    day = made.printed.replace("-", "")
    if len(day) == _DAY and day.isdecimal():
        paper.setDateFormatter(lambda *_: f"D:{day}")


def _mark(paper: Any, mark: Mark, high: float, fonts: Lettering, key: int) -> None:
    if isinstance(mark, Section):
        paper.bookmarkPage(f"at-{key}", fit="XYZ", left=mark.left, top=high - mark.top)
        paper.addOutlineEntry(clean(mark.title), f"at-{key}", mark.level)
    elif isinstance(mark, Words):
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
