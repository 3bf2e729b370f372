"""The work of a job sheet: each step with its cautions, what to do, what to tighten, and who did it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from diagtree.model.fault import Caution
from diagtree.report import scope_words as words
from diagtree.report.lines import hours
from diagtree.report.sheets.blocks import (
    TICK_ROOM,
    Group,
    Piece,
    beside,
    bound,
    framed,
    heading,
    hung,
    inset,
    staying,
    text,
    tick,
    ticked,
)
from diagtree.report.sheets.marks import Mark, Section, Span, Stroke
from diagtree.report.sheets.setting import LABEL, STRONG, TEXT, fill, line, lines, width
from diagtree.report.steps import cautions_of, tightening_words
from diagtree.scope.differing import Marked
from diagtree.scope.plan import PlanLine
from diagtree.scope.scope import Scope

DEPENDS = "depends on what is open, see above"
_INDENT = 16.0  # of what stands below a step's title
_INITIALS = 78.0  # room at the right for hours and initials
_HOURS = 44.0
_APART = 14.0  # between the steps of a sequence


def work(scope: Scope, span: Span) -> Iterator[Group]:
    """A group for each step, in the order of the plan."""
    if not scope.steps:
        yield Group(tuple(text(words.no_work(scope), TEXT, span, above=6)))
        return
    said = hours(scope.hours) if scope.hours is not None else DEPENDS
    yield Group(tuple(heading(f"Work: {said}", span)))
    yield Group(tuple(staying(text(words.rounding(scope), LABEL, span))))
    for place, marked in enumerate(scope.steps, 1):
        yield _step(scope, place, marked, span)


def warnings(found: Iterable[Caution], span: Span) -> list[Piece]:
    """Cautions: those of level `stop` in a double frame, the others below."""
    stops = [caution for caution in found if caution.level == "stop"]
    others = [caution for caution in found if caution.level != "stop"]
    pieces = []
    if stops:
        held = [piece for caution in stops for piece in _caution(caution, span.inset(inset(double=True)))]
        pieces += framed(held, span, double=True)
    for caution in others:
        pieces += _caution(caution, span)
    return pieces


def _caution(caution: Caution, span: Span) -> list[Piece]:
    return hung(f"{words.LEVEL_WORDS[caution.level]}:", caution.say, TEXT, span, below=1.5)


def _step(scope: Scope, place: int, marked: Marked[PlanLine], span: Span) -> Group:
    step = marked.entry.step
    inner = span.indented(_INDENT)
    below: list[Piece] = []
    details = [
        ("", words.where(scope, marked)),
        ("Why:", words.reason(scope, marked.entry)),
        ("Tools:", ", ".join(step.tools)),
    ]
    for label, said in details:
        if said:
            below += staying(hung(label, said, TEXT, inner, below=1) if label else text(said, TEXT, inner, below=1))
    below += warnings(cautions_of(scope, step), inner)
    for sentence in step.do:
        below += ticked(sentence, inner)
    for bolts in step.torque:
        below += _tightening(bolts.bolts, tightening_words(scope.library, bolts), inner)
    below += text(words.source(step), LABEL, inner, below=1)
    head = _title(f"{place}.", step.title, hours(marked.entry.hours), span)
    again = replace(text(f"{place}. {step.title} (continued)", STRONG, span, below=2)[0], stays=True)
    return Group((*head, *bound(below), _rule(span)), again=(again,), whole=True)


def _title(number: str, title: str, time: str, span: Span) -> list[Piece]:
    """The box to tick, number and title, the hours, and a line for initials."""
    if width(time, STRONG) > span.room / 4:  # no figure is ever cut
        title, time = f"{title}, {time}", ""
    indent = max(_INDENT, width(number, STRONG) + 5)
    aside = _INITIALS + 8 + max(_HOURS, width(time, STRONG) + 8)
    named = Span(span.left + _INDENT + indent, span.room - _INDENT - indent - aside)
    first, *others = text(title or "-", STRONG, named, above=5, below=1)
    right = span.right
    timed = Span(right - _INITIALS - 8 - width(time, STRONG), width(time, STRONG))
    # In the order in which it is read.
    marks: list[Mark] = [
        Section(f"{number} {title}".strip(), span.left, 0, 1),
        tick(span.left, STRONG, 5),
        line(number, STRONG, Span(span.left + _INDENT, indent), 5),
        *first.marks,
        *lines([time], STRONG, timed, 5),
        line("Initials", LABEL, Span(right - _INITIALS, 31), 5 + STRONG.rise - LABEL.rise),
        Stroke(right - _INITIALS + 32, 5 + STRONG.rise + 2, right, 5 + STRONG.rise + 2, 0.5),
    ]
    pieces = [replace(first, marks=tuple(marks)), *others]
    return list(staying(pieces))


def _tightening(bolts: str, steps: Sequence[str], span: Span) -> list[Piece]:
    """The bolts, and each step of their sequence with a box of its own, in order: on one line where that will do."""
    numbered = [f"{number}. {said}" for number, said in enumerate(steps, 1)] if len(steps) > 1 else list(steps)
    label = f"Tighten {bolts}:"
    start = width(label, TEXT) + 8
    if start + sum(_wide(said, span.room) for said in numbered) <= span.room:
        (row,) = _sequence(numbered, span.indented(start))
        return [beside(Piece(0, (line(label, TEXT, Span(span.left, start), 0),)), row)]
    return [*staying(text(label, TEXT, span, below=1)), *bound(_sequence(numbered, span.indented(8)))]


def _sequence(steps: Sequence[str], span: Span) -> list[Piece]:
    """Steps beside one another while they fit, each with its box."""
    rows: list[list[Mark]] = [[]]
    down, across = 0.0, 0.0
    made: list[Piece] = []
    for said in steps:
        wide = _wide(said, span.room)
        if across and across + wide - _APART > span.room:
            made.append(Piece(down, tuple(rows[-1])))
            rows.append([])
            down, across = 0.0, 0.0
        cut = fill(said, TEXT, span.room - TICK_ROOM)
        rows[-1] += [tick(span.left + across), *lines(cut, TEXT, span.indented(across + TICK_ROOM), 0)]
        down = max(down, len(cut) * TEXT.leading + 2)
        across += wide
    return [*made, Piece(down, tuple(rows[-1]))]


def _wide(said: str, room: float) -> float:
    """Room of a step with its box and what is clear behind it."""
    return TICK_ROOM + max(width(one, TEXT) for one in fill(said, TEXT, room - TICK_ROOM)) + _APART


def _rule(span: Span) -> Piece:
    return Piece(5, (Stroke(span.left, 3, span.right, 3, 0.4),))
