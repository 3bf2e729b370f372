"""A feature that nothing uses.

The walk would ask a technician to look for it, and the answer changes nothing. Where builds differ in it all the same,
some `when`, amount or weight is probably forgotten.

Wrong:
    features:
      chain: {title: Chain, values: [roller, inverted-tooth]}      # and no `when: {chain: ...}` anywhere
Right:
    parts:
      primary-chain:
        title: Primary chain
        numbers:
          - {number: BV-2101, price: 84, when: {chain: roller}}
          - {number: BV-2102, price: 96, when: {chain: inverted-tooth}}
"""

from collections.abc import Iterable, Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.quantity import Amount, Condition, Take
from diagtree.rules.wording import meant

ID = "unused-feature"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such feature, at its id."""
    shared = set(_in_library(library))
    for engine in library.engines.values():
        named = shared.union(_in_engine(engine))
        used = named | meant(sorted(named - engine.features.keys()), engine.features)
        for name in engine.features:
            if name not in used:
                message = f"No condition, amount or weight names '{name}'. Use it, or take it out."
                yield problem(library.key("engine", engine.id, "features", name), ID, message, severity=SEVERITY)


def _in_library(library: Library) -> Iterator[str]:
    yield from _conditions(check.when for check in library.checks.values())
    yield from _conditions(fault.when for fault in library.faults.values())
    yield from _conditions(caution.when for caution in library.cautions.values())
    for check in library.checks.values():
        yield from _takes(check.takes)
    for tree in library.trees.values():
        yield from _amounts(tree.weights.values())


def _in_engine(engine: Engine) -> Iterator[str]:
    for step in engine.work.values():
        yield from _takes(step.takes)
    yield from _conditions(step.when for step in engine.work.values())
    yield from _conditions(number.when for part in engine.parts.values() for number in part.numbers)
    yield from _conditions(kit.when for kit in engine.kits)


def _conditions(conditions: Iterable[Condition]) -> Iterator[str]:
    return (name for condition in conditions for name in condition.features)


def _takes(takes: Iterable[Take]) -> Iterator[str]:
    return _amounts(take.quantity for take in takes)


def _amounts(amounts: Iterable[Amount]) -> Iterator[str]:
    return (amount.feature for amount in amounts if amount.feature)
