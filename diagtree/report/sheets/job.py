"""The job sheet of a scope: what to do, in order, with boxes to tick and blanks to fill in."""

from collections.abc import Container, Iterator, Mapping

from diagtree.model.fault import LEVELS
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
from diagtree.report.sheets.verdict import UNWALKED, Verdict
from diagtree.report.sheets.work import warnings, work
from diagtree.report.sheets.worksheet import readings
from diagtree.report.steps import cautions, mended
from diagtree.scope.scope import Scope

CHARGE = "Nothing beyond this sheet is done without the customer's word."
DECLINED = "Declined by the customer:"
DOUBTS = "In doubt: settle this first"
_UNDER = 6.0  # how far what belongs to a bold line stands in
_NONE: Mapping[str, Finding] = {}


def as_pdf(
    scope: Scope,
    heading: Heading,
    paper: str = "A4",
    findings: Mapping[str, Finding] = _NONE,
    said: Verdict = UNWALKED,
) -> bytes:
    """The job sheet as a PDF.

    Args:
        scope: of named faults, or of a walk.
        heading: what the counter knows.
        paper: a name of `PAPERS`.
        findings: what was read before, by check; printed beside the blanks.
        said: what a walk says of it.
    """
    return pdf.paint(job_sheet(scope, heading, PAPERS[paper], findings, said))


def job_sheet(
    scope: Scope,
    heading: Heading,
    paper: Paper,
    findings: Mapping[str, Finding] = _NONE,
    said: Verdict = UNWALKED,
) -> Sheet:
    """The job sheet as pages of marks. Arguments as `as_pdf`."""
    subject = said.subject or words.subject(scope)
    title = f"Job sheet: {subject}"
    shop = scope.library.shop.name if scope.library.shop else ""
    running = Running(title, title, heading.job, foot(heading, shop), shop, heading.printed)
    groups = [
        top("Job sheet", subject, heading, Car(scope.library, scope.engine, scope.builds), paper.span),
        *_before(scope, said, findings, paper.span),
        *_work(scope, paper.span),
        *_behind(scope, heading, findings, said.agreement.declined, paper.span),
    ]
    return sheet(running, groups, paper)


def _before(scope: Scope, said: Verdict, findings: Mapping[str, Finding], span: Span) -> Iterator[Group]:
    """What is read before a tool is taken up."""
    yield _glance(scope, said, span)
    yield from _doubts(said, span)
    yield from _agreed(said.agreement, span)
    yield from _remarks(scope, span)
    yield from _may_be(said, span)
    yield from _found(scope, said, findings, span)
    yield from _cautions(scope, said, span)
    yield from _open(scope, span)


def _work(scope: Scope, span: Span) -> Iterator[Group]:
    yield from work(scope, span)
    yield from _closing(scope, span)
    yield from _close_up(scope, span)


def _behind(
    scope: Scope, known: Heading, findings: Mapping[str, Finding], declined: Container[str], span: Span
) -> Iterator[Group]:
    """What comes with the work and after it."""
    yield from parts(scope, span)
    yield from buying(scope, span)
    yield from deposits(scope, span)
    yield from _offers(scope, declined, span)
    yield from readings(scope, known.tree, findings, span)
    yield _end(scope, span)


def _glance(scope: Scope, said: Verdict, span: Span) -> Group:
    lines = [f"In all: {words.in_all(scope)}."] if scope.steps else []
    pieces = [piece for one in (*lines, words.bill(scope)) for piece in text(one, TEXT, span, above=4)]
    pieces += [Piece(4), *(piece for label, one in said.about for piece in hung(f"{label}:", one, TEXT, span))]
    return Group(tuple(pieces), whole=True)


def _doubts(said: Verdict, span: Span) -> Iterator[Group]:
    """What speaks against it, and how often the car comes back: in a frame, so that no glance passes it."""
    inner = span.inset(inset())
    pieces = [*strong(DOUBTS, inner)] if said.doubts else []
    pieces += [piece for line in said.doubts for piece in hung("-", line.strip(), TEXT, inner)]
    pieces += text(said.residual, STRONG if said.chances else TEXT, inner)
    yield Group((Piece(6), *framed(pieces, span, pen=1.4 if said.doubts else 0.9)), whole=True)


def _may_be(said: Verdict, span: Span) -> Iterator[Group]:
    if said.chances:
        yield Group(tuple(heading(said.may_be, span)))
        yield Group(bound([piece for line in said.chances for piece in hung("-", line, TEXT, span)]))


def _agreed(agreement: Agreement, span: Span) -> Iterator[Group]:
    if agreement.lines:
        yield Group(tuple(heading(AGREED, span)))
        yield Group(bound([piece for line in agreement.lines for piece in hung("-", line, TEXT, span)]))


def _remarks(scope: Scope, span: Span) -> Iterator[Group]:
    for remark in scope.remarks:
        yield Group(tuple(text(remark, TEXT, span, above=3)))


def _found(scope: Scope, said: Verdict, findings: Mapping[str, Finding], span: Span) -> Iterator[Group]:
    """What the checks have shown that led here, numbered in the order in which they were answered."""
    known = [one for one in findings.values() if one.check in scope.library.checks]
    lines = said.found or tuple(found(scope.library, scope.engine, known))
    if lines:
        yield Group(tuple(heading("Found so far", span)))
        labels = [f"{at}." if said.found else "-" for at in range(1, len(lines) + 1)]
        pieces = [piece for label, line in zip(labels, lines, strict=True) for piece in hung(label, line, TEXT, span)]
        yield Group(bound(pieces))


def _cautions(scope: Scope, said: Verdict, span: Span) -> Iterator[Group]:
    every = {one.id: one for one in (*said.cautions, *cautions(scope))}
    found = sorted(every.values(), key=lambda one: LEVELS.index(one.level))
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


def _closing(scope: Scope, span: Span) -> Iterator[Group]:
    """What is said of the end of steps that stand before the work: once more, in the order in which it is done."""
    found = words.closing(scope)
    if found:
        yield Group(tuple(heading(words.CLOSING, span)))
        yield Group(tuple(text(words.CLOSING_NOTE, TEXT, span, below=3)))
    for one in found:
        title = f"Step {one.place}, {one.marked.entry.step.title}:"
        only = words.where(scope, one.marked)
        pieces = [*strong(title, span), *staying(text(only, TEXT, span.indented(_UNDER)))]
        pieces += [piece for line in one.says for piece in ticked(line, span.indented(_UNDER))]
        yield Group(tuple(pieces), whole=True)


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


def _end(scope: Scope, span: Span) -> Group:
    """How to see that it is mended, and the signature: on one page where they can be, else with the last sentence."""
    sentences = list(dict.fromkeys(sentence for fault in mended(scope) for sentence in fault.verify))
    pieces = heading("Afterwards: how to see that it is mended", span) if sentences else []
    for sentence in sentences:
        said = ticked(sentence, span, below=3)
        pieces += staying(said) if sentence is sentences[-1] else said
    *signed, last = _signed(span)
    return Group((*pieces, *staying(signed), last), whole=True)


def _signed(span: Span) -> list[Piece]:
    pieces = list(strong("Signed off", span, above=12, below=6))
    for row in (("Work done by", "Date and time"), ("Checked by", "Date and time"), ("Hours really taken", "Mileage")):
        marks: list[Mark] = []
        for label, part in zip(row, span.parts(len(row)), strict=True):
            marks += blank(label, part, 4)
        pieces.append(Piece(20, tuple(marks)))
    return [*pieces, *hung("Found besides", "", STRONG, span), *_ruled(3, span)]


def _ruled(many: int, span: Span) -> list[Piece]:
    """Lines to write on."""
    return [Piece(18, (Stroke(span.left, 17, span.right, 17, 0.5),)) for _ in range(many)]
