"""A whole sheet: its pages with head and foot, ready for the printer."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagtree.draw.codebox import REMARK, lacking
from diagtree.draw.font import clean
from diagtree.model.library import NOTICE
from diagtree.report.sheets.blocks import Group, Piece, blank, stack, text
from diagtree.report.sheets.flow import paginate
from diagtree.report.sheets.marks import Extent, Mark, Span, Stroke, Words
from diagtree.report.sheets.paper import MARGIN, Paper
from diagtree.report.sheets.setting import FOOT, LABEL, line, one_line, width

_HEAD = 20.0  # height of the running head, from the second page on


@dataclass(frozen=True, slots=True)
class Sheet:
    """Pages of one paper. Marks from the top left corner of the paper."""

    title: str
    paper: Paper
    pages: tuple[tuple[Mark, ...], ...]
    author: str = ""
    printed: str = ""  # the day, ISO 8601
    subject: str = ""  # where it is from

    @property
    def words(self) -> Iterator[Words]:
        """Every line of words, page by page."""
        return (mark for page in self.pages for mark in page if isinstance(mark, Words))


@dataclass(frozen=True, slots=True)
class Running:
    """What every page says. `head`: whose page it is; `job`: a number, or a line to write one; `foot`: where from.

    `author` (the shop) and `printed` (the day, ISO 8601) are data of the file.
    """

    title: str
    head: str
    job: str = ""
    foot: str = ""
    author: str = ""
    printed: str = ""


def sheet(running: Running, groups: Sequence[Group], paper: Paper) -> Sheet:
    """Put groups on pages, with the notice at the foot of each."""
    foot = _foot(running, groups, paper)
    high = paper.height - 2 * MARGIN - foot.height
    # The first page has a heading of its own; the others leave room for the running head.
    pages = paginate([*groups], high - _HEAD)
    made = []
    for number, page in enumerate(pages, 1):
        top = MARGIN + (_HEAD if number > 1 else 0)
        marks: list[Mark] = [mark.moved(0, MARGIN) for mark in (_running(running, paper) if number > 1 else ())]
        marks += (mark.moved(0, top) for mark in page)
        marks += (mark.moved(0, MARGIN + high) for mark in foot.marks)
        marks.append(_number(number, len(pages), paper))
        made.append(tuple(marks))
    return Sheet(running.title, paper, tuple(made), running.author, running.printed, running.foot)


def outside(made: Sheet) -> list[tuple[int, Mark]]:
    """The marks that are not wholly inside their page's margins, and words wider than the room they were set in."""
    inner = Extent(MARGIN, MARGIN, made.paper.width - MARGIN, made.paper.height - MARGIN)
    return [
        (number, mark)
        for number, page in enumerate(made.pages, 1)
        for mark in page
        if not inner.holds(mark.extent) or (isinstance(mark, Words) and mark.width > mark.room + 0.01)
    ]


def _foot(running: Running, groups: Sequence[Group], paper: Paper) -> Piece:
    """The rule, the notice, the remark on boxes with codes where some are printed, and room for the last line."""
    said = [NOTICE]
    if lacking(_texts(running, groups)):
        said.append(REMARK)
    pieces = [piece for one in said for piece in text(one, FOOT, paper.span)]
    held = stack([Piece(11.0), *pieces, Piece(FOOT.leading)])
    rule = Stroke(paper.span.left, 8.0, paper.span.right, 8.0, 0.5)
    where = Span(paper.span.left, 0.75 * paper.span.room)
    source = line(one_line(running.foot, FOOT, where.room), FOOT, where, held.height - FOOT.leading)
    return Piece(held.height, (*held.marks, rule, source) if running.foot else (*held.marks, rule))


def _texts(running: Running, groups: Sequence[Group]) -> Iterator[str]:
    # As it will be printed: what cannot be seen is shown by another stand-in.
    yield from (clean(running.head), clean(running.job), clean(running.foot))
    for group in groups:
        yield from (
            mark.text for piece in (*group.pieces, *group.again) for mark in piece.marks if isinstance(mark, Words)
        )


def _running(running: Running, paper: Paper) -> list[Mark]:
    span = paper.span
    head = Span(span.left, 0.66 * span.room)
    job = span.indented(head.room + 12)
    value = one_line(running.job, LABEL, job.room - width("Job", LABEL) - 4)
    said = line(one_line(running.head, LABEL, head.room), LABEL, head, 0)
    return [said, *blank("Job", job, 0, value=value, style=LABEL), Stroke(span.left, 13, span.right, 13, 0.5)]


def _number(number: int, many: int, paper: Paper) -> Words:
    said = f"Page {number} of {many}"
    wide = width(said, FOOT)
    top = paper.height - MARGIN - FOOT.leading
    return line(said, FOOT, Span(paper.span.right - wide, wide), top)
