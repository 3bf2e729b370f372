"""The sentences of an estimate, as the screen and the printed sheet both say them.

What a customer reads is rounded up and has tax in it, save where the parts of a bill are shown apart.
"""

from collections.abc import Iterator
from fractions import Fraction
from math import floor
from typing import NamedTuple

from diagtree.estimate.customer import round_up
from diagtree.estimate.estimate import DOTS, STAGES, End, Estimate, Stage, StageName, count
from diagtree.graph.pricing import exact
from diagtree.model.library import Library, Shop
from diagtree.report import chances
from diagtree.report.chances import in_hundred
from diagtree.report.estimate import enough
from diagtree.report.lines import decimal, hours, join, money, short
from diagtree.report.walk import TWO_CAUSES
from diagtree.walk.result import CONFLICT

INSIDE, OUTSIDE = "●", "○"  # streams.py has stand-ins for both
_GROUP = 5  # dots side by side: 25 cars in 100
REACH = 0.8  # an amount to authorise is enough in so many of the cars that it is for
_TOTAL, _TOTAL_UP = "On average, in all", "On average, in all, rounded up"

STAGE_WORDS: dict[StageName, str] = {
    "diagnosis": "Diagnosis: the checks that open nothing",
    "strip-down": "Access: opening up to look, checking, closing",
    "repair": "Repair",
}


class Line(NamedTuple):
    """A line of a bill: what for, and the figure."""

    title: str
    figure: str


def figure(shop: Shop, amount: float) -> str:
    """A customer's figure, rounded up to the shop's step: '3400 EUR'."""
    places = 0 if shop.round_to and float(shop.round_to).is_integer() else 2
    return f"{decimal(exact(round_up(shop, amount)), places)} {shop.currency}".rstrip()


def subject(found: Estimate) -> str:
    """What is estimated: 'Rattle on cold start, Brennick V8'."""
    return join(filter(None, (found.tree.title, found.engine.title)), ",").replace(" , ", ", ")


def likely(found: Estimate) -> list[str]:
    """What it will most likely be: the causes, in counts of one hundred cars."""
    return chances.as_lines(found.library, found.belief.by_fault)


def doubt(found: Estimate) -> str:
    """That the answers do not fit one cause, where they do not; else ''."""
    return TWO_CAUSES if found.belief.conflict > CONFLICT else ""


def ladder(found: Estimate) -> list[str]:
    """What to authorise, step by step: the diagnosis, opening up, the come-backs."""
    back = in_hundred(found.residual).capitalize()
    return [
        *_first_steps(found),
        *_whole(found),
        f"{back} would come back with another cause; what that costs is not in here.",
    ]


class Limit(NamedTuple):
    """What to authorise up to the end of a stage, with tax, and in how many of the cars that get there it is enough."""

    amount: float
    enough: float


def limit(found: Estimate, stage: StageName) -> Limit | None:
    """The least rounded amount that 80 in 100 of the cars that reach a stage do not pass; None where none reaches it.

    The cars that never get there say nothing of what it costs there.
    """
    there = found.reaching[STAGES.index(stage)]
    if there is None:
        return None
    amount = round_up(found.library.rates, there.percentile(REACH))
    return Limit(amount, there.within(amount))


def _first_steps(found: Estimate) -> Iterator[str]:
    """The checks that open nothing, where there are any, and opening up, where that may be needed."""
    shop = found.library.rates
    first, now = found.stages[0], limit(found, "diagnosis")
    if now and takes_time(first):
        yield f"Authorise {figure(shop, now.amount)} now, for the checks that open nothing."
        yield f"In {in_hundred(now.enough)} such cars these checks cost no more."
    opened = limit(found, "strip-down")
    if opened is None or now is None:
        yield "Nothing is opened up to find it."
        return
    often, more = in_hundred(opened.enough), opened.amount - now.amount
    if takes_time(first):
        yield f"In {in_hundred(first.found)} such cars that settles what it is."
        if more > 0:
            in_all = f"{figure(shop, opened.amount)} in all, with the checks"
            yield f"If not, opening up costs up to {figure(shop, more)} more, {in_all}: enough in {often} of those."
        else:
            yield f"If not, opening up stays within that in {often} of those."
    elif first.found > 0:
        yield f"Opening up costs up to {figure(shop, opened.amount)} in {often} of the cars that need it."
    else:
        yield "Nothing can be found out without opening up."
        yield f"Authorise {figure(shop, opened.amount)} now, for that: enough in {often} such cars."
    yield f"If you stop there, about {figure(shop, found.close_up or 0.0)} of it is taking off and closing up again."


def _whole(found: Estimate) -> Iterator[str]:
    """The whole visit; where some cars need no repair, of those that do."""
    shop, (_, opening, repair) = found.library.rates, found.stages
    there = limit(found, "repair")
    if there and repair.always:
        said = figure(shop, there.amount)
        yield f"For the whole visit, with the repair, authorise {said}: enough in {in_hundred(there.enough)} such cars."
    elif there:
        yield f"{in_hundred(repair.reached).capitalize()} such cars come to a repair."
        said = f"authorise {figure(shop, there.amount)} for the whole visit"
        yield f"For such a car {said}: enough in {in_hundred(there.enough)} of those."
    elif opening.reached:
        whole = enough(found)
        often = in_hundred(found.price.within(whole))
        yield f"For the whole visit authorise {figure(shop, whole)}: enough in {often} such cars."


def takes_time(stage: Stage) -> bool:
    """Whether there is anything in a stage, ever."""
    return bool(stage.price.values[-1] > 0)


def stay(found: Estimate) -> str:
    """How long the car stays because checks wait; '' where none does, or that is not known."""
    waits = found.waiting
    if waits is None or not waits.hours:
        return ""
    if not max(nights for nights, _ in waits.nights):
        longest = hours(exact(waits.longest))
        return f"In {in_hundred(waits.often)} such cars a check has to wait, unpaid: up to {longest} in all."
    said = f"The car stays at least one night in {in_hundred(waits.at_least(1))} such cars"
    longer = [nights for nights, _ in waits.nights if nights > 1]
    if longer:
        seen = [nights for nights in longer if count(waits.at_least(nights))]
        many = max(seen) if seen else min(longer)
        said += f", at least {many} nights in {in_hundred(waits.at_least(many))}"
    return f"{said}: checks wait, unpaid, such as a cold soak."


def terms(found: Estimate) -> str:
    """What a customer's figures hold: 'With 20 % tax, rounded up to 10 EUR.'"""
    shop = found.library.rates
    if found.library.shop is None:
        return "The library has no shop: all figures are in hours."
    said = [f"With {short(exact(shop.tax), 2)} % tax" if shop.tax else "Without tax"]
    if shop.round_to:
        said.append(f"rounded up to {short(exact(shop.round_to), 2)} {shop.currency}")
    return f"{', '.join(said)}."


def with_tax(found: Estimate) -> str:
    """', with tax' where the shop has one."""
    return ", with tax" if found.library.rates.tax else ""


def inside(found: Estimate, amount: float) -> str:
    """'Within 3400 EUR: about 80 in 100 such cars.' The amount as it was given, not rounded."""
    return f"Within {plain(found, amount)}: {in_hundred(found.price.within(amount))} such cars."


def plain(found: Estimate, amount: float) -> str:
    """An amount of money as it is: '640 EUR', '640.50 EUR'."""
    cents = 100 * exact(amount)
    shown = decimal(cents / 100, 0 if float(amount).is_integer() else 2) if cents.denominator == 1 else f"{amount!r}"
    return f"{shown} {found.library.rates.currency}".rstrip()


def dots(found: Estimate, amount: float) -> str:
    """The twenty dots, the cheapest first, in groups of five: filled up to the amount, open beyond it."""
    within = found.dots_within(amount)
    row = INSIDE * within + OUTSIDE * (DOTS - within)
    return " ".join(row[at : at + _GROUP] for at in range(0, DOTS, _GROUP))


def scale(found: Estimate) -> str:
    """Where the row of dots begins, where its middle is and where it ends; no dot stands for the last few cars."""
    shop, row = found.library.rates, found.dots
    least, middle, most = (figure(shop, row[at]) for at in (0, DOTS // 2 - 1, DOTS - 1))
    repair = found.stages[-1]
    some = repair.reached > 0 and not repair.always
    among = ", those that need no repair among them" if some else ""
    return (
        f"Each dot is 5 of 100 such cars{among}, the cheapest first: the first at {least}, the tenth at {middle}, the "
        f"last at {most}. {in_hundred(0.0).capitalize()} such cars cost more."
    )


def bill(found: Estimate) -> list[Line]:
    """The mean bill before tax, diagnosis, access and repair apart; tax once, on the total.

    The lines are to the cent, so cut that they add up; only what is paid in all is rounded up, and so but once.
    """
    shop = found.library.rates
    reached = [_cents(sum(stage.share for stage in found.stages[: at + 1])) for at in range(len(STAGES))]
    alone = [one - before for one, before in zip(reached, [Fraction(0), *reached], strict=False)]
    lines = [Line(STAGE_WORDS[name], money(one, shop.currency)) for name, one in zip(STAGES, alone, strict=True) if one]
    total = reached[-1]
    if shop.tax:
        tax = _cents(total * exact(shop.tax) / 100)
        lines.append(Line("Together before tax", money(total, shop.currency)))
        lines.append(Line(f"Tax, {short(exact(shop.tax), 2)} %", money(tax, shop.currency)))
        total += tax
    return [*lines, Line(_TOTAL_UP if shop.round_to else _TOTAL, figure(shop, float(total)))]


def _cents(amount: float | Fraction) -> Fraction:
    """To the nearest hundredth, halves up."""
    return Fraction(floor(Fraction(amount) * 100 + Fraction(1, 2)), 100)


def extras(found: Estimate) -> str:
    """The shop's extras that are in the lines of the bill; '' where there are none."""
    shop = found.library.rates
    shown = [
        f"{one.title} {money(exact(round(mean, 2)), shop.currency)}"
        for one, mean in zip(shop.extras, found.extras, strict=True)
        if mean > 0
    ]
    return f"On average in these lines: {join(shown)}." if shown else ""


def outcomes(found: Estimate) -> list[str]:
    """What the visit may come to, with what it costs then: those of 5 and more in 100."""
    shown = likely_outcomes(found)
    lines = [f"{in_hundred(one.probability)}: {_outcome(found, one)}" for one in shown]
    rare = len(found.outcomes) - len(shown)
    if rare:
        lines.append(f"fewer than 5 in 100 each: {rare} more {'outcomes' if rare > 1 else 'outcome'}")
    return lines


def likely_outcomes(found: Estimate) -> list[End]:
    """The outcomes that 5 and more in 100 such cars come to, the likeliest first."""
    return [one for one in found.outcomes if count(one.probability)]


def _outcome(found: Estimate, one: End) -> str:
    price = figure(found.library.rates, one.price)
    return f"{title(found.library, one)}. About {price}, {hours(exact(round(one.hours, 2)))}."


def title(library: Library, one: End) -> str:
    """An outcome in words. Titles may hold commas of their own."""
    said = chances.one_of([chances.title(library, fault) for fault in one.faults]) or "The tree has no way on"
    return f"{said[0].upper()}{said[1:]}" if len(one.faults) > 1 else said


def still_open(found: Estimate) -> list[str]:
    """The features of the engine that are not known, and how to see them."""
    lines = []
    for name, values in found.open.items():
        feature = found.engine.features[name]
        tell = f" How to see it: {feature.tell}" if feature.tell else ""
        lines.append(f"{feature.title}: {join(values, 'or')}.{tell}")
    return lines


def deposits(found: Estimate) -> list[str]:
    """Deposits that come back with the old parts."""
    currency = found.library.rates.currency
    return [
        f"{one.part.title}: {money(exact(one.part.deposit), currency)} each, {in_hundred(one.probability)}"
        for one in found.deposits
    ]


def remarks(found: Estimate) -> list[str]:
    """What else holds for the figures."""
    said = []
    if found.findings:
        many = len(found.findings)
        said.append(
            "The check answered so far is in it." if many == 1 else f"The {many} checks answered so far are in it."
        )
    if found.slow != 1:
        said.append(f"Every work step's hours are stretched by {short(exact(found.slow), 3)}.")
    if any(not one.faults for one in found.outcomes):
        said.append("With the answers so far the tree has no way on in some cars: nothing is repaired there.")
    if not found.library.engines:
        said.append("The library has no engine: only the checks are in it, no repair.")
    said.append(f"Ground of the chances: {chances.ground(found.tree)}.")
    return said
