"""The sentences of a scope, as the screen and the printed sheet both say them."""

import re
from collections.abc import Container
from fractions import Fraction
from functools import partial
from typing import Any, NamedTuple

from diagtree.graph.pricing import exact
from diagtree.model.engine import Step
from diagtree.model.fault import Level
from diagtree.report.lines import hours, join, money, quantity
from diagtree.report.steps import mended, why
from diagtree.scope.differing import Marked, When
from diagtree.scope.offers import Offer
from diagtree.scope.parts import PartLine, Purchase
from diagtree.scope.plan import PlanLine, Reason, ReasonKind
from diagtree.scope.scope import Alternative, Scope

LEVEL_WORDS: dict[Level, str] = {"stop": "STOP", "warn": "Warning", "note": "Note"}
DEPENDS = "depends on what is open, see below"
ONLY_WHERE = "Only where"
ROUNDED = "Hours are shown to the hundredth; sums and money are of the exact hours."
CLOSING = "Closing up, in this order"
CLOSING_NOTE = (
    "The ends of the steps above, the last opened first; tightening stands at each step. A step that is not named goes "
    "back in its turn. Nothing is run or tested before what it needs is closed."
)
# Of a line of `do`: from here on it is said of the end of the work.
_AT_END = re.compile(r"(?:^|(?<=[.!?;] ))At the end\b[,:]?\s*", re.IGNORECASE)
NOT_ADDED = "Savings do not add up: two offers may lie behind the same cover."
_WHY: dict[ReasonKind, tuple[str, str]] = {
    "mends": ("mends ", ""),
    "brings": ("Done with ", "."),
    "access": ("access to ", ""),
    "opened": ("opened for the check ", ""),
}


def subject(scope: Scope) -> str:
    """What is mended: the faults' titles."""
    titles = [fault.title for fault in mended(scope)]
    return ("; ".join(titles) if any("," in title for title in titles) else join(titles)) or "closing up"


def in_all(scope: Scope) -> str:
    """Hours, parts and money in a few words: '1.47 h, parts 99.00 EUR, together 238.33 EUR before tax'.

    Where builds differ, the least and the most of them.
    """
    if len(scope.alternatives) == 1:
        return total(scope, scope.alternatives[0]) + before_tax(scope, "")
    time = [one.repair.hours for one in scope.alternatives]
    said = [_span(hours(min(time)), hours(max(time)))]
    shop = scope.library.shop
    if shop:
        bills = [exact(shop.labour_rate) * one.repair.hours + one.repair.buy_cost for one in scope.alternatives]
        said.append(f"together {_span(money(min(bills), shop.currency), money(max(bills), shop.currency))}")
    return f"{', '.join(said)}{before_tax(scope, '')}, by build"


def _span(least: str, most: str) -> str:
    return least if least == most else f"{least} to {most}"


def before_tax(scope: Scope, comma: str = ",") -> str:
    """', before tax' where there is a shop that knows a tax."""
    return f"{comma} before tax" if scope.library.rates.tax else ""


def total(scope: Scope, one: Alternative) -> str:
    """Hours, parts and both together of one alternative."""
    parts = one.repair.buy_cost
    beside = f", parts {money(parts, currency(scope))}" if parts else ""
    return f"{hours(one.repair.hours)}{beside}{_money_of(scope, one.repair.hours, parts)}"


def _money_of(scope: Scope, time: Fraction, parts: Fraction) -> str:
    shop = scope.library.shop
    return f", together {money(exact(shop.labour_rate) * time + parts, shop.currency)}" if shop else ""


def no_work(scope: Scope) -> str:
    """Why a scope has no step; '' where a remark says it."""
    if not scope.library.engines:
        return ""
    idle = bool(scope.faults) and not any(fault.repair for fault in scope.faults)
    return "Work: none is needed." if idle else "Work: none that this build admits."


def reason(scope: Scope, line: PlanLine) -> str:
    """Why a step is in the plan."""
    return why(line.reasons, partial(_title, scope), _WHY)


def _title(scope: Scope, one: Reason) -> str:
    library = scope.library
    if one.kind == "mends":
        return f"'{library.faults[one.of].title}'" if one.of in library.faults else one.of
    if one.kind == "opened":
        return f"'{library.checks[one.of].ask}'" if one.of in library.checks else one.of
    return f"'{scope.engine.work[one.of].title}'"


def part(scope: Scope, line: PartLine) -> str:
    """'2 x Phaser bolt at 7.50 EUR'."""
    price = f" at {money(line.price, currency(scope))}" if line.number else ""
    return f"{quantity(line.quantity, line.part.unit)} x {line.part.title}{price}"


def part_details(scope: Scope, marked: Marked[PartLine]) -> list[str]:
    """Where a part is needed, that it is used once, what is paid back for it; '' for what does not hold."""
    taken = marked.entry.part
    return [
        where(scope, marked),
        f"Single use: {taken.single_use}" if taken.single_use else "",
        f"Deposit {money(exact(taken.deposit), currency(scope))} each, back with the old part."
        if taken.deposit
        else "",
    ]


def holds(scope: Scope, marked: Marked[Purchase]) -> str:
    """What a kit holds: 'Holds: 1 x Oil filter; 10 l x Engine oil.'; '' of what is no kit."""
    line, engine = marked.entry, scope.engine
    builds = [engine.builds[name] for name in marked.builds if name in engine.builds]
    kits = [
        kit
        for kit in engine.kits
        if line.kit and kit.number == line.number and all(kit.when.admits(build.features) for build in builds)
    ]
    if not kits:
        return ""
    held = ((engine.parts.get(name), name, many) for name, many in kits[0].holds.items())
    said = [
        f"{quantity(exact(many), part.unit if part else '')} x {part.title if part else name}"
        for part, name, many in held
    ]
    return f"Holds: {'; '.join(said)}." if said else ""


def source(step: Step) -> str:
    """Where the tightening of a step is from; '' of a step without any."""
    if not step.torque:
        return ""
    return f"Source: {step.source}" if step.source else "Source: none given. The maker's data decide."


def rounding(scope: Scope) -> str:
    """That the hours of steps do not add up as they are printed, where that is so; else ''."""
    every = [line.hours for one in scope.alternatives for line in one.repair.steps]
    every += [one.repair.hours for one in scope.alternatives]
    return ROUNDED if any((100 * hour).denominator != 1 for hour in every) else ""


class Closing(NamedTuple):
    """A step of the plan whose end comes only once the work that it gives access to is done.

    Attributes:
        place: its number in the plan.
        marked: the step.
        says: what `do` says of its end, a sentence or more each.
    """

    place: int
    marked: Marked[PlanLine]
    says: tuple[str, ...]


def closing(scope: Scope) -> tuple[Closing, ...]:
    """What stands in the plan before the work and is done after it, in order.

    That is each line of `do`, or the rest of it, that begins 'At the end'. What gives access is closed the other way
    round, the last opened first; then the ends of the repairs themselves, in the order of the plan.
    """
    reached = {name for marked in scope.steps for name in marked.entry.step.after}
    found = [
        Closing(place, marked, said)
        for place, marked in enumerate(scope.steps, 1)
        if (said := tuple(filter(None, map(_end_of, marked.entry.step.do))))
    ]
    access = [one for one in found if _opens(one.marked.entry, reached)]
    return (*reversed(access), *(one for one in found if one not in access))


def _opens(line: PlanLine, reached: Container[str]) -> bool:
    return line.step.id in reached or any(reason.kind in {"access", "opened"} for reason in line.reasons)


def _end_of(sentence: str) -> str:
    """What a line of `do` says of the end: 'At the end: new seal.' -> 'New seal.'; '' where it says nothing of it."""
    found = _AT_END.search(sentence)
    said = sentence[found.end() :].strip() if found else ""
    return f"{said[:1].upper()}{said[1:]}"


def article(line: Purchase) -> str:
    """The title of what is bought; a kit says that it is one."""
    return f"{line.title} (kit)" if line.kit and "kit" not in line.title.lower().split() else line.title


def purchase(scope: Scope, line: Purchase) -> str:
    """'2 x Phaser bolt at 7.50 EUR, together 15.00 EUR'."""
    each = money(line.price, currency(scope))
    sum_of_line = f", together {money(line.count * line.price, currency(scope))}" if line.count != 1 else ""
    return f"{quantity(line.count, line.unit)} x {article(line)} at {each}{sum_of_line}"


def bill(scope: Scope) -> str:
    """Labour and parts together; '' where there is not one answer or no rate.

    The hours are not said again beside the rate: rounded to the hundredth, they would seem to be multiplied wrongly.
    """
    shop = scope.library.shop
    if shop is None or scope.hours is None or scope.buy_cost is None or not scope.steps:
        return ""
    rate = exact(shop.labour_rate)
    labour = rate * scope.hours
    return (
        f"Labour, at {money(rate, shop.currency)} an hour: {money(labour, shop.currency)}. "
        f"With the parts as bought: {money(labour + scope.buy_cost, shop.currency)}{before_tax(scope, '')}."
    )


def close_up(scope: Scope) -> str:
    """What it comes to if only what checks opened is closed; '' where nothing was opened."""
    found = scope.close_up
    if found is None or not found.hours:
        return ""
    cost = f", {money(found.cost, currency(scope))} in all" if scope.library.shop else ""
    parts = money(found.parts_cost, currency(scope))
    return f"If what was opened is only closed: {hours(found.hours)}, parts {parts}{cost}."


def offer(scope: Scope, one: Offer) -> str:
    """What is on offer, what it adds and what it saves."""
    cost = f" and {money(one.cost, currency(scope))}" if scope.library.shop else ""
    saving = f", saves {hours(one.saving)} against doing it on another day" if one.saving > 0 else ""
    return f"{one.step.title}: adds {hours(one.hours)}{cost}{saving}. {one.step.offer}"


def alternative(scope: Scope, one: Alternative) -> str:
    """The builds of an alternative, what they have of what is open, and their bill."""
    builds = join(build.id for build in one.builds)
    known = "; ".join(features(scope, one.features(scope.open), ": "))
    parts = one.repair.buy_cost
    bill_of = f"{money(parts, currency(scope))}{_money_of(scope, one.repair.hours, parts)}"
    return f"Build {builds} ({known}): {hours(one.repair.hours)}, parts {bill_of}."


def where(scope: Scope, marked: Marked[Any]) -> str:
    """The builds that need an entry, in their features; '' where it is all of them."""
    said = join(features(scope, marked.when, "' is ", "'"))
    return f"{ONLY_WHERE} {said}." if said else ""


def features(scope: Scope, when: When, between: str, before: str = "") -> list[str]:
    """Features with their values: 'Primary chain style: roller'. A title may be any words: `between` parts the two."""
    known = scope.engine.features
    said = ((known[name].title if name in known else name, values) for name, values in when)
    return [f"{before}{title}{between}{join((one or 'none' for one in values), 'or')}" for title, values in said]


def currency(scope: Scope) -> str:
    """Of money; nothing where the library has no shop, as its stand-in counts in hours."""
    return scope.library.shop.currency if scope.library.shop else ""
