"""A part taken in decimals that has no unit.

Half a gasket can't be ordered. A part that is poured or cut says its unit: then decimals are right, and its price
is for one unit.

Wrong:
    parts: {engine-oil: {title: Engine oil, numbers: [{number: BV-9001, price: 11}]}}
    work: {fill-oil: {title: Fill oil, hours: 0.2, takes: {engine-oil: 7.5}}}
Right:
    parts: {engine-oil: {title: Engine oil, unit: l, numbers: [{number: BV-9001, price: 11}]}}
    work: {fill-oil: {title: Fill oil, hours: 0.2, takes: {engine-oil: 7.5}}}
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.model.quantity import Amount

ID = "decimal-quantity"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such quantity, in work steps, kits and checks."""
    for engine in library.engines.values():
        for name, amount, *path in _within(engine):
            part = engine.parts.get(name)
            if part and not part.unit and _has_decimals(amount):
                yield _problem(name, library.value("engine", engine.id, *path, name))
    for one in library.checks.values():
        for take in one.takes:
            parts = (engine.parts.get(take.part) for engine in library.engines.values())
            if _has_decimals(take.quantity) and any(part and not part.unit for part in parts):
                yield _problem(take.part, library.value("checks", one.id, "takes", take.part))


def _problem(name: str, place: Place) -> Problem:
    message = f"Part '{name}' has no unit, so its quantity is a whole number. Write one, or give the part a `unit`."
    return problem(place, ID, message, severity=SEVERITY)


def _has_decimals(amount: Amount) -> bool:
    return any(number != int(number) for number in amount.numbers)


def _within(engine: Engine) -> Iterator[tuple[str, Amount, str, str | int, str]]:
    """Part, quantity, and the path to the mapping that it stands in."""
    for step in engine.work.values():
        for take in step.takes:
            yield take.part, take.quantity, "work", step.id, "takes"
    for index, kit in enumerate(engine.kits):
        for name, count in kit.holds.items():
            yield name, Amount(count), "kits", index, "holds"
