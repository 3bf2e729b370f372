"""The estimate on paper, for the counter: what it may be, what it takes, and a line to sign for each stage."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from diagtree.estimate.estimate import DOTS, STAGES, Estimate, Stage
from diagtree.report import estimate_words as words
from diagtree.report.chances import ground, in_hundred
from diagtree.report.estimate import enough
from diagtree.report.estimate_text import cautions
from diagtree.report.lines import join
from diagtree.report.sheets.agreed import AGREED
from diagtree.report.sheets.blocks import Group, Piece, blank, bound, framed, heading, hung, inset, staying, text
from diagtree.report.sheets.found import found as told
from diagtree.report.sheets.heading import Car, Heading, foot, top
from diagtree.report.sheets.marks import Disc, Mark, Span
from diagtree.report.sheets.paper import Paper
from diagtree.report.sheets.setting import STRONG, TEXT
from diagtree.report.sheets.sheet import Running, Sheet, sheet
from diagtree.report.sheets.table import Cell, Column, table
from diagtree.report.sheets.work import warnings

NOTHING_FOUND = "Nothing yet: this is the estimate before the first check."
IN_IT = (
    "The checks of this visit, opening up and closing again, the repair of what they lead to, and its parts as they "
    "are cheapest to buy"
)
_EXTRAS, _TAX = "the workshop's extras", "tax once on the total"
NOT_IN_IT = (
    "Deposits on old parts, a cause that these checks do not lead to, and whatever else is found: none of it is done "
    "without asking again."
)
NOT_SUMS = "Do not add these amounts: each holds its stage and all before it."
_DOT, _STEP, _GROUP, _APART = (
    4.2,
    13.0,
    5,
    9.0,
)  # radius of a dot, from one to the next, dots of a group, between groups


@dataclass(frozen=True, slots=True)
class Said:
    """What a sheet tells besides figures.

    Attributes:
        answers: what the checks have shown, in order, from `found.told`; empty: as the estimate has them.
        agreed: what the customer has said so far, a line each.
    """

    answers: tuple[str, ...] = ()
    agreed: tuple[str, ...] = ()


NOTHING_SAID = Said()


def estimate_sheet(
    found: Estimate,
    known: Heading,
    paper: Paper,
    amount: float | None = None,
    said: Said = NOTHING_SAID,
) -> Sheet:
    """The estimate as pages of marks.

    Args:
        found: the estimate.
        known: what the counter knows; its tree is the estimate's.
        paper: what it is printed on.
        amount: up to which the dots are filled, with tax; None: what to authorise for the whole visit.
        said: by the checks and by the customer.
    """
    shop = found.library.shop.name if found.library.shop else ""
    title = f"Estimate: {found.tree.title}"
    running = Running(title, title, known.job, foot(known, shop), shop, known.printed)
    filled = enough(found) if amount is None else amount
    answered = said.answers or list(told(found.library, found.engine, found.findings))
    groups = [
        top("Estimate", found.tree.title, known, Car(found.library, found.engine, found.builds), paper.span),
        *_listed("Found so far", answered or [NOTHING_FOUND], paper.span, numbered=bool(said.answers)),
        *_groups(found, filled, said.agreed, paper.span),
    ]
    return sheet(running, groups, paper)


def _groups(found: Estimate, amount: float, agreed: Sequence[str], span: Span) -> Iterator[Group]:
    yield from _listed(AGREED, list(agreed), span)
    yield from _listed(
        f"What it most likely is, of 100 cars like this ({ground(found.tree)})", words.likely(found), span
    )
    if words.doubt(found):
        said = text(words.doubt(found), STRONG, span.inset(inset()))
        yield Group((Piece(4), *framed(said, span, pen=1.4)), whole=True)
    yield from _spread(found, amount, span)
    yield from _stages(found, span)
    yield from _terms(found, span)
    shown = cautions(found)
    if shown:
        yield Group(tuple(heading("Cautions", span)))
        yield Group(tuple(warnings(shown, span)))
    yield from _bill(found, span)
    yield from _listed(f"What the visit may come to{words.with_tax(found)}", words.outcomes(found), span)
    yield from _listed("Still open, all of it mixed in", words.still_open(found), span)
    yield from _listed("Deposits, which come back with the old part", words.deposits(found), span)


def _listed(title: str, lines: Sequence[str], span: Span, *, numbered: bool = False) -> Iterator[Group]:
    if lines:
        labels = [f"{at}." if numbered else "-" for at in range(1, len(lines) + 1)]
        pieces = [piece for label, line in zip(labels, lines, strict=True) for piece in hung(label, line, TEXT, span)]
        yield Group(tuple(heading(title, span)))
        yield Group(bound(pieces))


def _spread(found: Estimate, amount: float, span: Span) -> Iterator[Group]:
    """The ladder in words, then the twenty dots."""
    yield Group(tuple(heading("What it takes", span)))
    said = [words.ladder(found), [words.terms(found)], [words.stay(found)]]
    yield Group(tuple(piece for one in said for piece in text(" ".join(one), TEXT, span, below=3)))
    dots = Piece(2 * _DOT + 8, tuple(_dots(found.dots_within(amount), span)), stays=True)
    inside = staying(text(words.inside(found, amount), TEXT, span, above=2))
    yield Group((*inside, dots, *text(words.scale(found), TEXT, span)), whole=True)


def _dots(within: int, span: Span) -> Iterator[Mark]:
    """Filled ones are those within the amount, rings the others: never by shade alone."""
    for at in range(DOTS):
        across = span.left + _DOT + 1 + at * _STEP + at // _GROUP * _APART
        yield Disc(across, _DOT + 4, _DOT, filled=at < within)


def _stages(found: Estimate, span: Span) -> Iterator[Group]:
    """A row for each stage that can come about, with what to authorise up to its end, and room to sign."""
    yield Group(tuple(heading("Stages, each with all before it; nothing is begun without a signature", span)))
    columns = (
        Column("Stage", 4),
        Column(f"Up to{words.with_tax(found)}", fixed=74, right=True),
        Column("Authorised up to", fixed=82, frame=True),
        Column("Signature", fixed=110, frame=True),
        Column("Date", fixed=58, frame=True),
    )
    rows = [
        (
            Cell(words.STAGE_WORDS[stage.stage], (_about(stage, limit),)),
            Cell(words.figure(found.library.rates, limit.amount), bold=True),
            *[Cell()] * 3,
        )
        for stage in found.stages
        if (words.takes_time(stage) if stage.stage == STAGES[0] else stage.reached > 0)
        and (limit := words.limit(found, stage.stage))
    ]
    yield replace(table(columns, rows, span), whole=True)
    marks: list[Mark] = []
    for label, part in zip(("For the workshop", "Date"), span.parts(2), strict=True):
        marks += blank(label, part, 5)
    yield Group((*text(NOT_SUMS, TEXT, span, above=2), Piece(22, tuple(marks))), whole=True)


def _about(stage: Stage, limit: words.Limit) -> str:
    often = in_hundred(limit.enough)
    if stage.always:
        return f"That amount is enough in {often} such cars."
    return (
        f"{in_hundred(stage.reached).capitalize()} such cars come to this. That amount is enough in {often} of those."
    )


def _bill(found: Estimate, span: Span) -> Iterator[Group]:
    yield Group(tuple(heading("What it costs on average", span)))
    columns = (Column("", 5), Column("On average", 2, right=True))
    lines = words.bill(found)
    rows = [(Cell(line.title, bold=line is lines[-1]), Cell(line.figure, bold=line is lines[-1])) for line in lines]
    yield replace(table(columns, rows, span), whole=True)
    yield Group(tuple(text(words.extras(found), TEXT, span, above=2)))


def _terms(found: Estimate, span: Span) -> Iterator[Group]:
    shop = found.library.shop
    owner = f"The figures are the workshop's own{f', {shop.name}' if shop else ''}."
    yield Group(tuple(heading("Terms", span)))
    beside = [one for one, there in ((_EXTRAS, found.extras), (_TAX, found.library.rates.tax)) if there]
    said = [
        ("In it:", f"{IN_IT}{f'; with {join(beside)}' if beside else ''}."),
        ("Not in it:", NOT_IN_IT),
        ("Figures:", owner),
    ]
    pieces = [piece for label, one in said for piece in hung(label, one, TEXT, span)]
    pieces += [piece for remark in words.remarks(found) for piece in text(remark, TEXT, span, below=1)]
    yield Group(tuple(pieces))
