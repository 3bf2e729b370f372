"""A drill as text and JSON: the car that comes in, what is known, and at the end what each choice was worth."""

import json
from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from diagtree.model.fault import OTHER
from diagtree.model.library import NOTICE, Library
from diagtree.practice.drill import Drill, Taken, mended, repair_cost
from diagtree.practice.drill import cautions as heed
from diagtree.practice.review import Choice, Review, shares
from diagtree.practice.trainee import Move, cost
from diagtree.report import chances
from diagtree.report.lines import COLUMNS, hang, hours, join, money, wrap
from diagtree.report.scope_text import LEVEL_WORDS

# A choice is called dear from this share of what the best one costs, and from this much money.
_DEAR = 0.02
_DEAR_MONEY = 1.0
_NUMBER = 5  # cells for a number in a list


def arrival(drill: Drill) -> list[str]:
    """What the trainee is told of the car."""
    of = drill.car.case
    engine = f"{of.engine.title}, build '{of.build.id}'" if of.library.engines else "Any build"
    seen = [f"{of.engine.features[name].title}: {value}" for name, value in of.build.features.items()]
    return [
        f"{of.tree.title}. {engine}.",
        *([f"{'; '.join(seen)}."] if seen else []),
        "It has one fault. Find it with as little paid as you can, and name the repair.",
        NOTICE,
    ]


def checks(drill: Drill) -> list[str]:
    """The checks that may be picked, by numbers that stay the same all along."""
    done = drill.here.findings
    lines = []
    for at, check in enumerate(drill.car.case.free, start=1):
        if check.id not in done:
            lines += hang(f"{at:>{_NUMBER - 2}}", priced(drill, check.id), _NUMBER)
    return lines or ["No check is left."]


def priced(drill: Drill, name: str) -> str:
    """A check with its price now, the access that it opens included."""
    price = drill.here.price(drill.car.case.checks[name])
    return f"{name}, {_money(drill, price)}: {_library(drill).checks[name].ask}"


def mendable(drill: Drill) -> list[str]:
    """What may be named at the end."""
    of = drill.car.case
    return [
        line
        for cause, repair in zip(of.causes, of.repairs, strict=True)
        if repair is not None
        for line in hang(f"  {cause}", chances.title(of.library, cause), 30)
    ]


def odds(drill: Drill) -> list[str]:
    """What the answers so far leave likely."""
    now = dict(zip(drill.car.case.causes, shares(drill.here).tolist(), strict=True))
    return chances.as_lines(_library(drill), {cause: chance for cause, chance in now.items() if chance > 0.0})


def so_far(drill: Drill) -> str:
    """What was paid, and what is off the car."""
    off = [_step(drill, step) for step in drill.car.case.names(drill.here.done)]
    told = f"Paid so far: {amounts(drill)}."
    return f"{told} Off the car: {join(off)}." if off else told


def amounts(drill: Drill) -> str:
    """Hours and money paid so far."""
    return f"{hours(Fraction(drill.hours))}, {_money(drill, drill.paid)}"


def naming(drill: Drill, causes: Iterable[str]) -> list[str]:
    """The repair that is about to be named."""
    return ["You name:", *(f"- {chances.title(_library(drill), cause)}" for cause in causes)]


def cautions(drill: Drill, check: str) -> list[str]:
    """What to heed before a check, a line each."""
    return [f"{LEVEL_WORDS[one.level]}: {one.say}" for one in heed(drill, check)]


def shown(drill: Drill, one: Taken) -> str:
    """What a check has shown."""
    check = _library(drill).checks[one.check.id]
    answer = check.answer(one.answer)
    return f"{check.ask} - {answer.text if answer else one.answer}."


def plain_facts(drill: Drill) -> list[str]:
    """What is known of a drill that has ended before its choices are judged: what it was, and what was paid."""
    assert drill.ended is not None
    lines = [f"It was: {chances.title(_library(drill), drill.car.fault)}."]
    if drill.ended.forbidden:
        lines.append(f"You did '{drill.ended.forbidden}' after an answer that forbids it: the run has failed.")
    else:
        named = join(f"'{chances.title(_library(drill), one)}'" for one in drill.ended.named)
        mends = "That mends it" if mended(drill) else "That does not mend it: the car comes back"
        lines.append(f"You named {named}. {mends}. The repair: {_money(drill, repair_cost(drill))}.")
    return [*lines, so_far(drill)]


def facts_text(drill: Drill, columns: int = COLUMNS) -> str:
    """The same for people, below one another."""
    return "".join(f"{line}\n" for text in plain_facts(drill) for line in wrap(text, columns))


def as_text(judged: Review, columns: int = COLUMNS) -> str:
    """For people: what it was, what it came to, and what each choice was worth."""
    blocks = [_what(judged), _came_to(judged), *_choices(judged), _learned(judged), [NOTICE]]
    return (
        "\n\n".join("\n".join(line for text in block for line in wrap(text, columns)) for block in blocks if block)
        + "\n"
    )


def as_json(judged: Review, level: str) -> str:
    """`as_data` as one JSON object."""
    return json.dumps(as_data(judged, level), indent=2, allow_nan=False) + "\n"


def as_data(judged: Review, level: str) -> dict[str, Any]:
    """A drill as data: ids as in the files, probabilities 0..1, hours and money as numbers."""
    drill = judged.drill
    of = drill.car.case
    assert drill.ended is not None
    return {
        "tree": of.tree.id,
        "engine": of.engine.id if of.library.engines else None,
        "build": of.build.id if of.library.engines else None,
        "seed": drill.car.seed,
        "car": drill.car.number,
        "level": level,
        "fault": drill.car.fault,
        "repair": list(drill.ended.named),
        "mended": judged.mended,
        "failed": judged.failed,
        "hours": drill.hours,
        "paid": drill.paid,
        "repair_cost": judged.repair,
        "come_back": judged.come_back,
        "total": judged.total,
        "regret": judged.regret,
        "choices": [_choice_data(one) for one in judged.choices],
        "probability": judged.odds,
        "looked_at_odds": drill.looked,
        "for_nothing": list(judged.for_nothing),
        "same_car": {"tree": _course_data(judged.tree), "best_order": _course_data(judged.best)},
        "average": {"walk_cost": judged.walk_cost, "best_cost": judged.best_cost, "exact": judged.exact},
        "currency": of.library.rates.currency,
        "notice": NOTICE,
    }


def _what(judged: Review) -> list[str]:
    drill = judged.drill
    library, cause = _library(drill), drill.car.fault
    assert drill.ended is not None
    fault = library.faults.get(cause)
    lines = [f"It was: {chances.title(library, cause)}."]
    if fault:
        lines.append(fault.why)
    if judged.failed:
        check = drill.car.case.library.checks[drill.ended.forbidden]
        after = next(
            f"'{name}' has shown '{drill.here.findings[name].answer}'"
            for name, ends in check.never_after.items()
            if name in drill.here.findings and drill.here.findings[name].answer in ends
        )
        return [*lines, f"You did '{check.id}' after {after}. That is never done: the run has failed."]
    named = join(f"'{chances.title(library, one)}'" for one in drill.ended.named)
    if judged.mended:
        return [*lines, f"You named {named}. That mends it."]
    beyond = " No repair of this tree does." if cause == OTHER else ""
    return [*lines, f"You named {named}. That does not mend it: the car comes back.{beyond}"]


def _came_to(judged: Review) -> list[str]:
    drill = judged.drill
    by_best = "the best order" if judged.exact else "the best order found"
    paid = f"{_money(drill, drill.paid)} ({hours(Fraction(drill.hours))})"
    after = f"repair {_money(drill, judged.repair)}, come-back {_money(drill, judged.come_back)}"
    by_tree, by_order = (_money(drill, cost(course)) for course in (judged.tree, judged.best))
    walked, least = _money(drill, judged.walk_cost), _money(drill, judged.best_cost)
    lines = [
        f"Checks and access {paid}, {after}: {_money(drill, judged.total)} in all.",
        f"The same car by the tree: {by_tree}. By {by_best}: {by_order}.",
        f"On average such cars come to {walked} by the tree, to {least} by {by_best}.",
    ]
    if not judged.failed:
        lines.append(
            f"Your choices cost {_money(drill, judged.regret)} on average beyond the best ones. Luck is not in it: it "
            "is by what you could know at each moment."
        )
    return lines


def _choices(judged: Review) -> list[list[str]]:
    return [_choice(judged, at, one) for at, one in enumerate(judged.choices, start=1)]


def _choice(judged: Review, at: int, one: Choice) -> list[str]:
    drill = judged.drill
    before = f"The fault that it was: {chances.in_hundred(one.odds)}"
    if one.taken is None:
        lines = [f"{at}. You named the repair. {before} then."]
    else:
        after = next((next_one.odds for next_one in judged.choices[at:]), judged.odds)
        price = f"{hours(Fraction(one.taken.hours))}, {_money(drill, one.taken.price)}"
        lines = [
            f"{at}. {one.taken.check.id}: {shown(drill, one.taken)} {price}.",
            f"{before} before, {chances.in_hundred(after)} after.",
        ]
    if one.told_nothing:
        lines.append("It told nothing: no cause became likelier or less likely by 1 in 100.")
    if one.regret >= max(_DEAR_MONEY, _DEAR * one.best):
        lines.append(f"Better then: {_better(drill, one.better)}, by {_money(drill, one.regret)} on average.")
    return lines


def _learned(judged: Review) -> list[str]:
    drill = judged.drill
    lines = []
    if judged.for_nothing:
        steps = join(_step(drill, step) for step in judged.for_nothing)
        lines.append(f"Came off for checks alone, and the repair did not need it: {steps}.")
    silent = [one.taken.check.id for one in judged.choices if one.told_nothing and one.taken]
    if silent:
        lines.append(f"Told nothing: {join(silent)}.")
    if drill.looked:
        lines.append(f"You looked at the odds {drill.looked} {'times' if drill.looked > 1 else 'time'}.")
    if not lines and not judged.failed and judged.regret < _DEAR_MONEY:
        lines.append("No choice could have been better by what was known.")
    return lines


def _better(drill: Drill, move: Move) -> str:
    if isinstance(move, str):
        return f"the check '{move}'"
    names = join(f"'{chances.title(_library(drill), one)}'" for one in move)
    return f"to stop and mend {names}"


def _choice_data(one: Choice) -> dict[str, Any]:
    taken = one.taken
    return {
        "check": taken.check.id if taken else None,
        "answer": taken.answer if taken else None,
        "hours": taken.hours if taken else None,
        "price": taken.price if taken else None,
        "probability": one.odds,
        "expected": one.cost,
        "best": one.best,
        "better": list(one.better) if isinstance(one.better, tuple) else one.better,
        "regret": one.regret,
        "told_nothing": one.told_nothing,
    }


def _course_data(course: Drill) -> dict[str, Any]:
    assert course.ended is not None
    return {
        "checks": [one.check.id for one in course.taken],
        "repair": list(course.ended.named),
        "mended": mended(course),
        "total": cost(course),
    }


def _step(drill: Drill, step: str) -> str:
    title = drill.car.case.work.steps[step].title
    return f"{title[0].lower()}{title[1:]}"


def _library(drill: Drill) -> Library:
    return drill.car.case.library


def _money(drill: Drill, value: float) -> str:
    return money(Fraction(value), _library(drill).rates.currency)
