"""The sentences of a scope, as the screen and the printed sheet both say them."""

from fractions import Fraction
from functools import partial
from typing import Any

from diagtree.graph.pricing import exact
from diagtree.model.fault import Level
from diagtree.report.lines import hours, join, money, quantity
from diagtree.report.steps import why
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


def subject(scope: Scope) -> str:
    """What is mended: the faults' titles."""
    return join(fault.title for fault in scope.faults) or "closing up"


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
    known = features(scope, one.features(scope.open))
    parts = one.repair.buy_cost
    bill_of = f"{money(parts, currency(scope))}{_money_of(scope, one.repair.hours, parts)}"
    return f"Build {builds} ({known}): {hours(one.repair.hours)}, parts {bill_of}."


def where(scope: Scope, marked: Marked[Any]) -> str:
    """The builds that need an entry, in their features; '' where it is all of them."""
    return f"Only for: {features(scope, marked.when)}." if marked.when else ""


def features(scope: Scope, when: When) -> str:
    """'Primary chain style = roller, ...'."""
    known = scope.engine.features
    return ", ".join(
        f"{known[name].title if name in known else name} = {join((value or 'none' for value in values), 'or')}"
        for name, values in when
    )


def currency(scope: Scope) -> str:
    """Of money; nothing where the library has no shop, as its stand-in counts in hours."""
    return scope.library.shop.currency if scope.library.shop else ""
