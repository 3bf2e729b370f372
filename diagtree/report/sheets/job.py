"""The job sheet of a scope: what to do, in order, with boxes to tick and blanks to fill in."""

from collections.abc import Container, Iterator, Mapping

from diagtree.reason.finding import Finding
from diagtree.report import scope_words as words
from diagtree.report.sheets import pdf
from diagtree.report.sheets.agreed import AGREED, Agreement
from diagtree.report.sheets.blocks import (
    Group,
    Piece,
    blank,
    bound,
    framed,
    heading,
    hung,
    inset,
    staying,
    strong,
    text,
    ticked,
)
from diagtree.report.sheets.found import found
from diagtree.report.sheets.goods import buying, deposits, parts
from diagtree.report.sheets.heading import Car, Heading, foot, top
from diagtree.report.sheets.marks import Mark, Span, Stroke
from diagtree.report.sheets.paper import PAPERS, Paper
from diagtree.report.sheets.setting import STRONG, TEXT
from diagtree.report.sheets.sheet import Running, Sheet, sheet
from diagtree.report.sheets.work import warnings, work
from diagtree.report.sheets.worksheet import readings
from diagtree.report.steps import cautions
from diagtree.scope.scope import Scope

CHARGE = "Nothing beyond this sheet is done without the customer's word."
DECLINED = "Declined by the customer:"
_NONE: Mapping[str, Finding] = {}
_NOTHING_AGREED = Agreement()


def as_pdf(scope: Scope, heading: Heading, paper: str = "A4", findings: Mapping[str, Finding] = _NONE) -> bytes:
    """The job sheet as a PDF.

    Args:
        scope: of named faults, or of a walk.
        heading: what the counter knows.
        paper: a name of `PAPERS`.
        findings: what was read before, by check; printed beside the blanks.
    """
    return pdf.paint(job_sheet(scope, heading, PAPERS[paper], findings))


def job_sheet(
    scope: Scope,
    heading: Heading,
    paper: Paper,
    findings: Mapping[str, Finding] = _NONE,
    agreement: Agreement = _NOTHING_AGREED,
) -> Sheet:
    """The job sheet as pages of marks. Arguments as `as_pdf`, and what the customer has said so far."""
    subject = words.subject(scope)
    shop = scope.library.shop.name if scope.library.shop else ""
    running = Running(f"Job sheet: {subject}", f"Job sheet: {subject}", heading.job, foot(heading, shop))
    return sheet(running, list(_groups(scope, heading, paper, findings, agreement)), paper)


def _groups(
    scope: Scope, known: Heading, paper: Paper, findings: Mapping[str, Finding], agreement: Agreement
) -> Iterator[Group]:
    span = paper.span
    yield top("Job sheet", words.subject(scope), known, Car(scope.library, scope.engine, scope.builds), span)
    yield _glance(scope, span)
    yield from _agreed(agreement, span)
    yield from _remarks(scope, span)
    yield from _found(scope, findings, span)
    yield from _cautions(scope, span)
    yield from _open(scope, span)
    yield from work(scope, span)
    yield from _close_up(scope, span)
    yield from parts(scope, span)
    yield from buying(scope, span)
    yield from deposits(scope, span)
    yield from _offers(scope, agreement.declined, span)
    yield from readings(scope, known.tree, findings, span)
    yield from _verify(scope, span)
    yield _signed(span)


def _glance(scope: Scope, span: Span) -> Group:
    said = [f"In all: {words.in_all(scope)}."] if scope.steps else []
    said += [words.bill(scope)]
    return Group(tuple(piece for one in said for piece in text(one, TEXT, span, above=4)), whole=True)


def _agreed(agreement: Agreement, span: Span) -> Iterator[Group]:
    if agreement.lines:
        yield Group(tuple(heading(AGREED, span)))
        yield Group(bound([piece for line in agreement.lines for piece in hung("-", line, TEXT, span)]))


def _remarks(scope: Scope, span: Span) -> Iterator[Group]:
    for remark in scope.remarks:
        yield Group(tuple(text(remark, TEXT, span, above=3)))


def _found(scope: Scope, findings: Mapping[str, Finding], span: Span) -> Iterator[Group]:
    """What the checks have shown that led here."""
    known = [one for one in findings.values() if one.check in scope.library.checks]
    if known:
        yield Group(tuple(heading("Found so far", span)))
        lines = found(scope.library, scope.engine, known)
        yield Group(bound([piece for line in lines for piece in hung("-", line, TEXT, span)]))


def _cautions(scope: Scope, span: Span) -> Iterator[Group]:
    found = cautions(scope)
    if found:
        yield Group(tuple(heading("Before you begin", span)))
        yield Group(tuple(warnings(found, span)))


def _open(scope: Scope, span: Span) -> Iterator[Group]:
    """What is not known of the car, with every alternative: to be settled at the car, never guessed."""
    if len(scope.alternatives) < 2:
        return
    yield Group(tuple(heading("Still open: see to it before parts are ordered", span)))
    for name, values in scope.open.items():
        feature = scope.engine.features.get(name)
        pieces = strong(feature.title if feature else name, span)
        pieces += staying(text(f"How to see it: {feature.tell}" if feature and feature.tell else "", TEXT, span))
        pieces += (piece for value in values for piece in ticked(value or "none", span.indented(6)))
        yield Group(tuple(pieces), whole=True)
    yield Group(tuple(strong("What then holds", span, above=5)))
    for one in scope.alternatives:
        yield Group(tuple(ticked(words.alternative(scope, one), span.indented(6))), whole=True)


def _close_up(scope: Scope, span: Span) -> Iterator[Group]:
    """What checks opened is in the work above; what it comes to where it is only closed."""
    said = words.close_up(scope)
    if said:
        opened = "What was opened for checks is closed again in the work above, with its parts."
        pieces = [piece for one in (opened, said) for piece in text(one, TEXT, span.inset(inset()))]
        yield Group((Piece(6), *framed(pieces, span)), whole=True)


def _offers(scope: Scope, declined: Container[str], span: Span) -> Iterator[Group]:
    """What is shown to people, with a box; no box where the customer has said no."""
    shown = [marked for marked in scope.offers if marked.entry.ready]
    if not shown:
        return
    yield Group(tuple(heading("On offer while it is open", span)))
    for marked in shown:
        said = words.offer(scope, marked.entry)
        no = marked.entry.step.id in declined
        pieces = hung(DECLINED, said, TEXT, span) if no else ticked(said, span)
        yield Group((*pieces, *text(words.where(scope, marked), TEXT, span.indented(14), below=2)), whole=True)
    yield Group((*text(words.NOT_ADDED, TEXT, span), *text(CHARGE, TEXT, span)), whole=True)


def _verify(scope: Scope, span: Span) -> Iterator[Group]:
    sentences = dict.fromkeys(sentence for fault in scope.faults for sentence in fault.verify)
    if sentences:
        yield Group(tuple(heading("Afterwards: how to see that it is mended", span)))
    for sentence in sentences:
        yield Group(tuple(ticked(sentence, span, below=3)), whole=True)


def _signed(span: Span) -> Group:
    pieces = list(strong("Signed off", span, above=12, below=6))
    for row in (("Work done by", "Date and time"), ("Checked by", "Date and time"), ("Hours really taken", "Mileage")):
        marks: list[Mark] = []
        for label, part in zip(row, span.parts(len(row)), strict=True):
            marks += blank(label, part, 4)
        pieces.append(Piece(20, tuple(marks)))
    return Group((*pieces, *hung("Found besides", "", STRONG, span), *_ruled(3, span)), whole=True)


def _ruled(many: int, span: Span) -> list[Piece]:
    """Lines to write on."""
    return [Piece(18, (Stroke(span.left, 17, span.right, 17, 0.5),)) for _ in range(many)]
