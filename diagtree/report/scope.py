"""A scope as programs read it. `scope_text` is how people read it."""

import json
from collections.abc import Mapping
from fractions import Fraction
from typing import Any, TypeAlias

from diagtree.graph.pricing import exact
from diagtree.model.library import NOTICE
from diagtree.report.scope_text import as_text
from diagtree.report.scope_words import closing
from diagtree.report.steps import cautions, cautions_of, has_builds, tightening, why
from diagtree.scope.differing import Marked
from diagtree.scope.offers import Offer
from diagtree.scope.parts import PartLine, Purchase
from diagtree.scope.plan import PlanLine, ReasonKind
from diagtree.scope.repair import CloseUp
from diagtree.scope.scope import Alternative, Scope

__all__ = ["as_dict", "as_json", "as_text"]

Data: TypeAlias = dict[str, Any]
NOTHING: Mapping[str, Any] = {}

# What stands before and behind the ids of faults, steps or checks.
_WHY: dict[ReasonKind, tuple[str, str]] = {
    "mends": ("mends ", ""),
    "brings": ("(with ", ")"),
    "access": ("access to ", ""),
    "opened": ("opened for ", ""),
}


def as_json(scope: Scope, beside: Mapping[str, Any] = NOTHING) -> str:
    """`as_dict` as one JSON object; `beside`: what else is known, such as the file that its sheet was written to."""
    return json.dumps(as_dict(scope) | dict(beside), indent=2, allow_nan=False) + "\n"


def as_dict(scope: Scope) -> Data:
    """A scope as data: ids as in the files, hours and money as numbers, null where alternatives differ.

    What only some of the possible builds need is marked with `when` (features) and `builds`.
    """
    library, engine = scope.library, scope.engine
    data: Data = {
        "notice": NOTICE,
        "engine": engine.id if engine.id in library.engines else None,
        "build": scope.builds[0].id if len(scope.builds) == 1 and has_builds(engine) else None,
        "builds": [build.id for build in scope.builds] if has_builds(engine) else [],
        "currency": library.rates.currency,
        "faults": [fault.id for fault in scope.faults],
        "steps": [_step(scope, marked.entry) | _mark(marked) for marked in scope.steps],
        "closing": [
            {"step": one.marked.entry.step.id, "do": list(one.says)} | _mark(one.marked) for one in closing(scope)
        ],
        "hours": number(scope.hours),
        "parts": [_part(marked.entry) | _mark(marked) for marked in scope.parts],
        "parts_cost": number(scope.parts_cost),
        "buy": [_purchase(marked.entry) | _mark(marked) for marked in scope.buy],
        "buy_cost": number(scope.buy_cost),
        "offers": [_offer(marked.entry) | _mark(marked) for marked in scope.offers],
        "open": {name: list(values) for name, values in scope.open.items()},
        "alternatives": [_alternative(scope, one) for one in scope.alternatives] if len(scope.alternatives) > 1 else [],
        "cautions": [{"id": one.id, "level": one.level, "say": one.say} for one in cautions(scope)],
        "verify": [sentence for fault in scope.faults for sentence in fault.verify],
        "remarks": list(scope.remarks),
    }
    if any(one.repair.close_up for one in scope.alternatives):
        data["close_up"] = _close_up(scope.close_up)
    return data


def number(value: Fraction | None) -> float | None:
    """A fraction as the JSON number nearest to it, whole where it is whole."""
    if value is None:
        return None
    return value.numerator if value.denominator == 1 else float(value)


def _mark(marked: Marked[Any]) -> Data:
    if not marked.when:
        return {}
    return {"when": {name: list(values) for name, values in marked.when}, "builds": list(marked.builds)}


def _step(scope: Scope, line: PlanLine) -> Data:
    step = line.step
    return {
        "step": step.id,
        "title": step.title,
        "hours": number(line.hours),
        "why": why(line.reasons, lambda reason: reason.of, _WHY),
        "do": list(step.do),
        "tools": list(step.tools),
        "cautions": [caution.id for caution in cautions_of(scope, step)],
        "source": step.source,
        "torque": [{"bolts": bolts.bolts, "steps": tightening(scope.library, bolts)} for bolts in step.torque],
    }


def _part(line: PartLine) -> Data:
    return {
        "part": line.part.id,
        "title": line.part.title,
        "number": line.number or None,
        "quantity": number(line.quantity),
        "price": number(line.price) if line.number else None,
        "single_use": bool(line.part.single_use),
        "reason": line.part.single_use,
        "deposit": number(exact(line.part.deposit)),
        "unit": line.part.unit,
    }


def _purchase(line: Purchase) -> Data:
    return {
        "number": line.number,
        "title": line.title,
        "count": number(line.count),
        "price": number(line.price),
        "unit": line.unit,
        "kit": line.kit,
    }


def _offer(offer: Offer) -> Data:
    return {
        "step": offer.step.id,
        "title": offer.step.title,
        "reason": offer.step.offer,
        "saving": number(offer.saving),
        "adds": {"hours": number(offer.hours), "cost": number(offer.cost)},
        "ready": offer.ready,
    }


def _close_up(close_up: CloseUp | None) -> Data:
    return {
        "hours": number(close_up.hours) if close_up else None,
        "parts_cost": number(close_up.parts_cost) if close_up else None,
        "cost": number(close_up.cost) if close_up else None,
    }


def _alternative(scope: Scope, one: Alternative) -> Data:
    repair = one.repair
    data: Data = {
        "builds": [build.id for build in one.builds],
        "features": {name: list(values) for name, values in one.features(scope.open)},
        "steps": [_step(scope, line) for line in repair.steps],
        "hours": number(repair.hours),
        "parts": [_part(line) for line in repair.parts],
        "parts_cost": number(repair.parts_cost),
        "buy": [_purchase(line) for line in repair.buy],
        "buy_cost": number(repair.buy_cost),
        "offers": [_offer(marked.entry) | _mark(marked) for marked in one.offers],
    }
    return data | ({"close_up": _close_up(repair.close_up)} if repair.close_up else {})
