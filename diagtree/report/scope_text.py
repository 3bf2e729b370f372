"""A scope as people read it: the plan, the parts, what to buy, what is on offer, what is still open."""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import partial
from typing import Any

from diagtree.graph.pricing import exact
from diagtree.model.fault import Caution, Level
from diagtree.model.library import NOTICE
from diagtree.report.lines import COLUMNS, cells, hang, hours, join, money, quantity, wrap
from diagtree.report.steps import cautions, cautions_of, has_builds, tightening_words, why
from diagtree.scope.differing import Marked, When
from diagtree.scope.offers import Offer
from diagtree.scope.parts import PartLine, Purchase
from diagtree.scope.plan import PlanLine, Reason, ReasonKind
from diagtree.scope.scope import Alternative, Scope

LEVEL_WORDS: dict[Level, str] = {"stop": "STOP", "warn": "Warning", "note": "Note"}
DEPENDS = "depends on what is open, see below"
NOT_ADDED = "Savings do not add up: two offers may lie behind the same cover."
_WHY: dict[ReasonKind, tuple[str, str]] = {
    "mends": ("mends ", ""),
    "brings": ("(Done with ", ".)"),
    "access": ("access to ", ""),
    "opened": ("opened for the check ", ""),
}
_NUMBER_CELLS = 20  # a longer part number stands on a line of its own
_MOST_BILLS = 6  # at a glance; more are said as a range


def as_text(scope: Scope, columns: int = COLUMNS) -> str:
    """The whole scope in plain lines of at most `columns` cells."""
    sections = (_head, _glance, _cautions, _work, _parts, _buying, _bill, _close_up, _offers, _open, _verify, _remarks)
    blocks = [list(section(scope, columns)) for section in sections]
    blocks.append(wrap(NOTICE, columns))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _head(scope: Scope, columns: int) -> Iterator[str]:
    faults = join(fault.title for fault in scope.faults)
    yield from wrap(f"Repair scope: {faults}" if faults else "Repair scope: closing up", columns)
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
        yield from wrap(f"In all, by build{_before_tax(scope)}:", columns)
        named = [join((build.id for build in one.builds), "or") for one in bills]
        indent = 4 + min(max(map(cells, named)), _NUMBER_CELLS)
        for name, one in zip(named, bills, strict=True):
            yield from hang(f"  {name}", _total(scope, one), indent, columns)
    else:
        yield from wrap(f"In all: {in_all(scope)}.", columns)
    if scope.open:
        features = scope.engine.features
        titles = "; ".join(features[name].title if name in features else name for name in scope.open)
        yield from wrap(f"Still open: {titles}. How to see it: at the end.", columns)


def in_all(scope: Scope) -> str:
    """Hours, parts and money in a few words: '1.47 h, parts 99.00 EUR, together 238.33 EUR before tax'.

    Where builds differ, the least and the most of them.
    """
    if len(scope.alternatives) == 1:
        return _total(scope, scope.alternatives[0]) + _before_tax(scope, "")
    time = [one.repair.hours for one in scope.alternatives]
    said = [_span(hours(min(time)), hours(max(time)))]
    shop, currency = scope.library.shop, _currency(scope)
    if shop:
        bills = [exact(shop.labour_rate) * one.repair.hours + one.repair.buy_cost for one in scope.alternatives]
        said.append(f"together {_span(money(min(bills), currency), money(max(bills), currency))}")
    return f"{', '.join(said)}{_before_tax(scope, '')}, by build"


def _span(least: str, most: str) -> str:
    return least if least == most else f"{least} to {most}"


def _before_tax(scope: Scope, comma: str = ",") -> str:
    return f"{comma} before tax" if scope.library.shop else ""


def _total(scope: Scope, one: Alternative) -> str:
    parts = one.repair.buy_cost
    beside = f", parts {money(parts, _currency(scope))}" if parts else ""
    return f"{hours(one.repair.hours)}{beside}{_money_of(scope, one.repair.hours, parts)}"


def _cautions(scope: Scope, columns: int) -> Iterator[str]:
    for caution in cautions(scope):
        yield from _caution(caution, 0, columns)


def _caution(caution: Caution, margin: int, columns: int) -> list[str]:
    return hang(" " * margin + f"{LEVEL_WORDS[caution.level]}:", caution.say, margin + 9, columns)


def _work(scope: Scope, columns: int) -> Iterator[str]:
    if not scope.steps:
        yield from _no_work(scope, columns)
        return
    yield from wrap(f"Work: {hours(scope.hours) if scope.hours is not None else DEPENDS}", columns)
    for place, marked in enumerate(scope.steps, 1):
        yield from _step(scope, place, marked, columns)


def _no_work(scope: Scope, columns: int) -> list[str]:
    if not scope.library.engines:
        return []  # the remark says why
    idle = bool(scope.faults) and not any(fault.repair for fault in scope.faults)
    return wrap("Work: none is needed." if idle else "Work: none that this build admits.", columns)


def _step(scope: Scope, place: int, marked: Marked[PlanLine], columns: int) -> Iterator[str]:
    line = marked.entry
    yield from hang(f"{place:3}.", f"{line.step.title}, {hours(line.hours)}", 5, columns)
    details = [
        _where(scope, marked),
        f"Why: {why(line.reasons, partial(_title, scope), _WHY)}",
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


def _title(scope: Scope, reason: Reason) -> str:
    library = scope.library
    if reason.kind == "mends":
        return f"'{library.faults[reason.of].title}'" if reason.of in library.faults else reason.of
    if reason.kind == "opened":
        return f"'{library.checks[reason.of].ask}'" if reason.of in library.checks else reason.of
    return f"'{scope.engine.work[reason.of].title}'"


def _parts(scope: Scope, columns: int) -> Iterator[str]:
    if not scope.parts:
        return
    together = money(scope.parts_cost, _currency(scope)) if scope.parts_cost is not None else DEPENDS
    yield from wrap(f"Parts, bought singly: {together}", columns)
    indent = _indent(marked.entry.number or "no number" for marked in scope.parts)
    for marked in scope.parts:
        line = marked.entry
        yield from hang(f"  {line.number or 'no number'}", _part(scope, line), indent, columns)
        for detail in _part_details(scope, marked):
            yield from hang("", detail, indent, columns)


def _part(scope: Scope, line: PartLine) -> str:
    price = f" at {money(line.price, _currency(scope))}" if line.number else ""
    return f"{quantity(line.quantity, line.part.unit)} x {line.part.title}{price}"


def _part_details(scope: Scope, marked: Marked[PartLine]) -> list[str]:
    part = marked.entry.part
    return [
        _where(scope, marked),
        f"Single use: {part.single_use}" if part.single_use else "",
        f"Deposit {money(exact(part.deposit), _currency(scope))} each, back with the old part." if part.deposit else "",
    ]


def _buying(scope: Scope, columns: int) -> Iterator[str]:
    if not scope.buy:
        return
    together = money(scope.buy_cost, _currency(scope)) if scope.buy_cost is not None else DEPENDS
    yield from wrap(f"Cheapest to buy: {together}", columns)
    indent = _indent(marked.entry.number for marked in scope.buy)
    for marked in scope.buy:
        yield from hang(f"  {marked.entry.number}", _purchase(scope, marked.entry), indent, columns)
        yield from hang("", _where(scope, marked), indent, columns)


def _purchase(scope: Scope, line: Purchase) -> str:
    currency = _currency(scope)
    kit = " (kit)" if line.kit and "kit" not in line.title.lower().split() else ""
    sum_of_line = f", together {money(line.count * line.price, currency)}" if line.count != 1 else ""
    return f"{quantity(line.count, line.unit)} x {line.title}{kit} at {money(line.price, currency)}{sum_of_line}"


def _bill(scope: Scope, columns: int) -> list[str]:
    """Labour and parts together, where there is one answer and a rate."""
    shop = scope.library.shop
    if shop is None or scope.hours is None or scope.buy_cost is None or not scope.steps:
        return []
    rate = exact(shop.labour_rate)
    labour = rate * scope.hours
    return wrap(
        f"Labour {hours(scope.hours)} at {money(rate, shop.currency)} an hour: {money(labour, shop.currency)}. "
        f"With the parts as bought: {money(labour + scope.buy_cost, shop.currency)} before tax.",
        columns,
    )


def _close_up(scope: Scope, columns: int) -> list[str]:
    found = scope.close_up
    if found is None or not found.hours:
        return []
    currency = _currency(scope)
    cost = f", {money(found.cost, currency)} in all" if scope.library.shop else ""
    return wrap(
        f"If what was opened is only closed: {hours(found.hours)}, parts {money(found.parts_cost, currency)}{cost}.",
        columns,
    )


def _offers(scope: Scope, columns: int) -> Iterator[str]:
    shown = [marked for marked in scope.offers if marked.entry.ready]
    if not shown:
        return
    yield "While it is open:"
    for marked in shown:
        yield from hang("  -", _offer(scope, marked.entry), 4, columns)
        yield from hang("", _where(scope, marked), 4, columns)
    yield from hang("", NOT_ADDED, 2, columns)


def _offer(scope: Scope, offer: Offer) -> str:
    cost = f" and {money(offer.cost, _currency(scope))}" if scope.library.shop else ""
    saving = f", saves {hours(offer.saving)} against doing it on another day" if offer.saving > 0 else ""
    return f"{offer.step.title}: adds {hours(offer.hours)}{cost}{saving}. {offer.step.offer}"


def _open(scope: Scope, columns: int) -> Iterator[str]:
    if len(scope.alternatives) < 2:
        return
    yield "Still open:"
    for name, values in scope.open.items():
        feature = scope.engine.features.get(name)
        tell = f" How to see it: {feature.tell}" if feature and feature.tell else ""
        yield from hang("  -", f"{feature.title if feature else name}: {join(values, 'or')}.{tell}", 4, columns)
    for one in scope.alternatives:
        yield from hang("  -", _alternative(scope, one), 4, columns)


def _alternative(scope: Scope, one: Alternative) -> str:
    currency = _currency(scope)
    builds = join(build.id for build in one.builds)
    known = _features(scope, one.features(scope.open))
    bill = _money_of(scope, one.repair.hours, one.repair.buy_cost)
    return f"Build {builds} ({known}): {hours(one.repair.hours)}, parts {money(one.repair.buy_cost, currency)}{bill}."


def _money_of(scope: Scope, time: Fraction, parts: Fraction) -> str:
    shop = scope.library.shop
    return f", together {money(exact(shop.labour_rate) * time + parts, shop.currency)}" if shop else ""


def _verify(scope: Scope, columns: int) -> Iterator[str]:
    sentences = dict.fromkeys(sentence for fault in scope.faults for sentence in fault.verify)
    if sentences:
        yield "Afterwards:"
    for sentence in sentences:
        yield from hang("  -", sentence, 4, columns)


def _remarks(scope: Scope, columns: int) -> Iterator[str]:
    for remark in scope.remarks:
        yield from wrap(remark, columns)


def _where(scope: Scope, marked: Marked[Any]) -> str:
    return f"Only for: {_features(scope, marked.when)}." if marked.when else ""


def _features(scope: Scope, when: When) -> str:
    known = scope.engine.features
    return ", ".join(
        f"{known[name].title if name in known else name} = {join((value or 'none' for value in values), 'or')}"
        for name, values in when
    )


def _currency(scope: Scope) -> str:
    """Of money; nothing where the library has no shop, as its stand-in counts in hours."""
    return scope.library.shop.currency if scope.library.shop else ""


def _indent(numbers: Iterable[str]) -> int:
    return 4 + max((cells(number) for number in numbers if cells(number) <= _NUMBER_CELLS), default=2)
