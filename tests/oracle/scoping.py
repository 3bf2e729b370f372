"""Scope by the words of the formats page: closure, plan, hours, parts, offers."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from tests.oracle.reading import Library, Table, admits, labour_rate, mean_hours, number

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

Features = dict[str, str]


@dataclass(frozen=True, slots=True)
class Part:
    """One line of a parts list."""

    number: str
    quantity: Fraction
    price: Fraction
    single_use: bool


@dataclass(frozen=True, slots=True)
class Offer:
    """What a step on offer saves, and what taking it adds (hours; money at single prices)."""

    saving: Fraction
    hours: Fraction
    cost: Fraction


def closure(engine: Table, features: Features, wanted: Iterable[str]) -> set[str]:
    """Give the least set with `wanted` and, with each step, its `after` and `brings`; excluded steps dropped."""
    found: set[str] = set()
    waiting = list(wanted)
    while waiting:
        name = waiting.pop()
        step = engine["work"][name]
        if name in found or not admits(step.get("when"), features):
            continue
        found.add(name)
        waiting += list(step.get("after") or [])
        waiting += list(step.get("brings") or {})
    return found


def complaints_of_plan(engine: Table, steps: set[str], plan: Sequence[str]) -> list[str]:
    """Say what is wrong with an order of `steps`; empty where it is a valid plan."""
    wrong = []
    if sorted(plan) != sorted(steps):
        wrong.append(f"the plan holds {sorted(plan)}, the closure {sorted(steps)}")
    for place, name in enumerate(plan):
        step = engine["work"][name]
        first = [*(step.get("after") or []), *(step.get("follows") or [])]
        wrong += [f"{name} stands before {other}" for other in first if other in plan[place + 1 :]]
    return wrong


def hours(engine: Table, steps: Iterable[str]) -> Fraction:
    """Sum the mean hours of the steps."""
    return sum((mean_hours(engine["work"][name]["hours"]) for name in steps), Fraction(0))


def amount(quantity: str | Mapping[str, Mapping[str, str]], features: Features) -> Fraction:
    """Give a quantity: a number, or by the value of a feature."""
    if isinstance(quantity, str):
        return number(quantity)
    ((feature, by_value),) = quantity.items()
    return number(by_value[features[feature]])


def admitted_number(engine: Table, part: str, features: Features) -> tuple[str, Fraction]:
    """Give the one number of a part in a build, and its price."""
    fits = [entry for entry in engine["parts"][part]["numbers"] if admits(entry.get("when"), features)]
    if len(fits) != 1:
        message = f"{part} has {len(fits)} numbers for {features}"
        raise ValueError(message)
    return fits[0]["number"], number(fits[0]["price"])


def total_takes(takers: Iterable[Table], features: Features) -> dict[str, Fraction]:
    """Sum the `takes` of steps or checks; parts of quantity 0 are left out."""
    total: dict[str, Fraction] = {}
    for taker in takers:
        for part, quantity in (taker.get("takes") or {}).items():
            total[part] = total.get(part, Fraction(0)) + amount(quantity, features)
    return {part: quantity for part, quantity in total.items() if quantity}


def parts(engine: Table, features: Features, steps: Iterable[str]) -> dict[str, Part]:
    """Give the parts list of a set of steps by part id."""
    needed = total_takes((engine["work"][name] for name in steps), features)
    return {
        part: Part(*_split(engine, part, features, quantity), bool(engine["parts"][part].get("single-use")))
        for part, quantity in needed.items()
    }


def _split(engine: Table, part: str, features: Features, quantity: Fraction) -> tuple[str, Fraction, Fraction]:
    code, price = admitted_number(engine, part, features)
    return code, quantity, price


def parts_cost(lines: Mapping[str, Part]) -> Fraction:
    """Give the bill at single prices."""
    return sum((line.quantity * line.price for line in lines.values()), Fraction(0))


def work_cost(library: Library, engine: Table, features: Features, steps: Iterable[str]) -> Fraction:
    """Give the sum of k over steps: labour, and parts at single prices."""
    chosen = set(steps)
    return labour_rate(library) * hours(engine, chosen) + parts_cost(parts(engine, features, chosen))


def repair_steps(library: Library, engine: Table, features: Features, faults: Iterable[str]) -> set[str]:
    """Give the repair steps of faults that the build does not exclude."""
    return {
        step
        for fault in faults
        for step in library.faults[fault]["repair"]
        if admits(engine["work"][step].get("when"), features)
    }


def offers(library: Library, engine: Table, features: Features, wanted: Iterable[str]) -> dict[str, Offer]:
    """Give every step on offer outside the closure with its saving and what it adds."""
    inside = closure(engine, features, wanted)
    found = {}
    for name, step in engine["work"].items():
        if not step.get("offer") or name in inside or not admits(step.get("when"), features):
            continue
        wider = closure(engine, features, [*wanted, name])
        added = hours(engine, wider) - hours(engine, inside)
        cost = work_cost(library, engine, features, wider) - work_cost(library, engine, features, inside)
        found[name] = Offer(hours(engine, closure(engine, features, [name])) - added, added, cost)
    return found


def remaining_builds(engine: Table, known: Features) -> dict[str, Features]:
    """Give the builds that known features still allow."""
    everything: dict[str, Any] = engine["builds"]
    found = {}
    for name, build in everything.items():
        features = {key: value for key, value in build.items() if key != "share"}
        if all(features.get(key) == value for key, value in known.items()):
            found[name] = features
    return found
