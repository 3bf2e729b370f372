"""A unit that is not known, or a tightening step that is neither a torque nor an angle.

A reading could not be typed in another unit, and a torque not be shown in the shop's own.

Wrong:
    reading: {unit: kpascal, uncertainty: 10}
    torque: [{bolts: Front cover, steps: [10 Nmm m]}]
Right:
    reading: {unit: kPa, uncertainty: 10}
    torque: [{bolts: Front cover, steps: [10 N m]}]
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem

ID = "unknown-unit"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such unit, in readings, the shop's units and tightenings."""
    # Imported here: the units' module is slow to load, and only `vet` asks.
    from diagtree.measure.units import known

    for unit, place in _units(library):
        if not known(unit):
            message = f"The unit '{unit}' is not known. Write one such as kPa, bar, psi, mm, N m or lbf ft."
            yield problem(place, ID, message, severity=SEVERITY)
    for engine in library.engines.values():
        yield from _tightenings(library, engine)


def _units(library: Library) -> Iterator[tuple[str, Place]]:
    for one in library.checks.values():
        if one.gauge and one.gauge.unit:
            yield one.gauge.unit, library.value("checks", one.id, "reading", "unit")
    if library.shop:
        for index, unit in enumerate(library.shop.units):
            yield unit, library.value("shop", library.shop.id, "units", index)


def _tightenings(library: Library, engine: Engine) -> Iterator[Problem]:
    from diagtree.measure.torque import parse_step
    from diagtree.measure.trouble import Trouble

    for step in engine.work.values():
        for index, tightening in enumerate(step.torque):
            for turn, text in enumerate(tightening.steps):
                read = parse_step(text)
                if isinstance(read, Trouble):
                    path = ("work", step.id, "torque", index, "steps", turn)
                    yield problem(library.value("engine", engine.id, *path), ID, read.message, severity=SEVERITY)
