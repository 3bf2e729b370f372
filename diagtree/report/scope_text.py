"""A scope as people read it: the plan, the parts, what to buy, what is on offer, what is still open."""

from collections.abc import Iterable, Iterator

from diagtree.model.fault import Caution
from diagtree.model.library import NOTICE
from diagtree.report import scope_words as words
from diagtree.report.lines import COLUMNS, cells, hang, hours, join, money, wrap
from diagtree.report.scope_words import DEPENDS, LEVEL_WORDS, NOT_ADDED, in_all
from diagtree.report.steps import cautions, cautions_of, has_builds, mended, tightening_words
from diagtree.scope.differing import Marked
from diagtree.scope.plan import PlanLine
from diagtree.scope.scope import Scope

__all__ = ["LEVEL_WORDS", "as_text", "in_all"]

_NUMBER_CELLS = 20  # a longer part number stands on a line of its own
_MOST_BILLS = 6  # at a glance; more are said as a range


def as_text(scope: Scope, columns: int = COLUMNS) -> str:
    """The whole scope in plain lines of at most `columns` cells."""
    sections = (
        *(_head, _glance, _cautions, _work, _closing, _parts, _buying, _bill, _close_up, _offers, _open, _verify),
        _remarks,
    )
    blocks = [list(section(scope, columns)) for section in sections]
    blocks.append(wrap(NOTICE, columns))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _head(scope: Scope, columns: int) -> Iterator[str]:
    yield from wrap(f"Repair scope: {words.subject(scope)}", columns)
    if not scope.library.engines:
        return
    yield from wrap(scope.engine.title, columns)
    if not has_builds(scope.engine):
        return
    listed = join((build.id for build in scope.builds), "or")
    yield from wrap(f"Build: {listed}", columns)


def _glance(scope: Scope, columns: int) -> Iterator[str]:
    """Hours and money before all else, as the counter needs them: one bill, or one for each build that differs."""
    bills = scope.alternatives
    if not scope.steps:
        return
    if len(bills) > 1 and len(bills) <= _MOST_BILLS:
        yield from wrap(f"In all, by build{words.before_tax(scope)}:", columns)
        named = [join((build.id for build in one.builds), "or") for one in bills]
        indent = 4 + min(max(map(cells, named)), _NUMBER_CELLS)
        for name, one in zip(named, bills, strict=True):
            yield from hang(f"  {name}", words.total(scope, one), indent, columns)
    else:
        yield from wrap(f"In all: {in_all(scope)}.", columns)
    if scope.open:
        features = scope.engine.features
        titles = "; ".join(features[name].title if name in features else name for name in scope.open)
        yield from wrap(f"Still open: {titles}. How to see it: at the end.", columns)


def _cautions(scope: Scope, columns: int) -> Iterator[str]:
    for caution in cautions(scope):
        yield from _caution(caution, 0, columns)


def _caution(caution: Caution, margin: int, columns: int) -> list[str]:
    return hang(" " * margin + f"{LEVEL_WORDS[caution.level]}:", caution.say, margin + 9, columns)


def _work(scope: Scope, columns: int) -> Iterator[str]:
    if not scope.steps:
        yield from wrap(words.no_work(scope), columns)
        return
    yield from wrap(f"Work: {hours(scope.hours) if scope.hours is not None else DEPENDS}", columns)
    yield from hang("", words.rounding(scope), 2, columns)
    for place, marked in enumerate(scope.steps, 1):
        yield from _step(scope, place, marked, columns)


def _step(scope: Scope, place: int, marked: Marked[PlanLine], columns: int) -> Iterator[str]:
    line = marked.entry
    yield from hang(f"{place:3}.", f"{line.step.title}, {hours(line.hours)}", 5, columns)
    details = [
        words.where(scope, marked),
        f"Why: {words.reason(scope, line)}",
        f"Tools: {', '.join(line.step.tools)}" if line.step.tools else "",
    ]
    for detail in details:
        yield from hang("", detail, 5, columns)
    for caution in cautions_of(scope, line.step):
        yield from _caution(caution, 5, columns)
    for sentence in line.step.do:
        yield from hang("     -", sentence, 7, columns)
    for bolts in line.step.torque:
        steps = ", then ".join(tightening_words(scope.library, bolts))
        yield from hang("     -", f"Tighten {bolts.bolts}: {steps}", 7, columns)
    yield from hang("", words.source(line.step), 7, columns)


def _closing(scope: Scope, columns: int) -> Iterator[str]:
    found = words.closing(scope)
    if not found:
        return
    yield f"{words.CLOSING}:"
    yield from hang("", words.CLOSING_NOTE, 2, columns)
    for one in found:
        yield from hang("  -", f"Step {one.place}, {one.marked.entry.step.title}:", 4, columns)
        for said in (*one.says, words.where(scope, one.marked)):
            yield from hang("", said, 6, columns)


def _parts(scope: Scope, columns: int) -> Iterator[str]:
    if not scope.parts:
        return
    together = money(scope.parts_cost, words.currency(scope)) if scope.parts_cost is not None else DEPENDS
    yield from wrap(f"Parts, bought singly: {together}", columns)
    indent = _indent(marked.entry.number or "no number" for marked in scope.parts)
    for marked in scope.parts:
        line = marked.entry
        yield from hang(f"  {line.number or 'no number'}", words.part(scope, line), indent, columns)
        for detail in words.part_details(scope, marked):
            yield from hang("", detail, indent, columns)


def _buying(scope: Scope, columns: int) -> Iterator[str]:
    if not scope.buy:
        return
    together = money(scope.buy_cost, words.currency(scope)) if scope.buy_cost is not None else DEPENDS
    yield from wrap(f"Cheapest to buy: {together}", columns)
    indent = _indent(marked.entry.number for marked in scope.buy)
    for marked in scope.buy:
        yield from hang(f"  {marked.entry.number}", words.purchase(scope, marked.entry), indent, columns)
        yield from hang("", words.holds(scope, marked), indent, columns)
        yield from hang("", words.where(scope, marked), indent, columns)


def _bill(scope: Scope, columns: int) -> list[str]:
    return wrap(words.bill(scope), columns)


def _close_up(scope: Scope, columns: int) -> list[str]:
    return wrap(words.close_up(scope), columns)


def _offers(scope: Scope, columns: int) -> Iterator[str]:
    shown = [marked for marked in scope.offers if marked.entry.ready]
    if not shown:
        return
    yield "While it is open:"
    for marked in shown:
        yield from hang("  -", words.offer(scope, marked.entry), 4, columns)
        yield from hang("", words.where(scope, marked), 4, columns)
    yield from hang("", NOT_ADDED, 2, columns)


def _open(scope: Scope, columns: int) -> Iterator[str]:
    if len(scope.alternatives) < 2:
        return
    yield "Still open:"
    for name, values in scope.open.items():
        feature = scope.engine.features.get(name)
        tell = f" How to see it: {feature.tell}" if feature and feature.tell else ""
        yield from hang("  -", f"{feature.title if feature else name}: {join(values, 'or')}.{tell}", 4, columns)
    for one in scope.alternatives:
        yield from hang("  -", words.alternative(scope, one), 4, columns)


def _verify(scope: Scope, columns: int) -> Iterator[str]:
    sentences = dict.fromkeys(sentence for fault in mended(scope) for sentence in fault.verify)
    if sentences:
        yield "Afterwards:"
    for sentence in sentences:
        yield from hang("  -", sentence, 4, columns)


def _remarks(scope: Scope, columns: int) -> Iterator[str]:
    for remark in scope.remarks:
        yield from wrap(remark, columns)


def _indent(numbers: Iterable[str]) -> int:
    return 4 + max((cells(number) for number in numbers if cells(number) <= _NUMBER_CELLS), default=2)
