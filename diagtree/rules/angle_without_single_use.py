"""A tightening that ends in an angle, in a step that takes no single-use part.

Bolts that are tightened by angle are stretched, and mostly used once. The step should take new ones, so that they
are on the bill and on the bench.

Wrong:
    torque: [{bolts: Phaser, steps: [25 N m, 180 deg]}]
Right:
    takes: {phaser-bolt: 2}         # single-use: Torque-to-yield, stretched when tightened.
    torque: [{bolts: Phaser, steps: [25 N m, 180 deg]}]
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine, Step
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem

ID = "angle-without-single-use"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such tightening, at its last step."""
    for engine in library.engines.values():
        for step in engine.work.values():
            if step.torque and not _may_take_single_use(engine, step):
                yield from _angles(library, engine, step)


def _may_take_single_use(engine: Engine, step: Step) -> bool:
    """Whether a part that it takes is used once, or is not known: that has its own problem."""
    return any(take.part not in engine.parts or engine.parts[take.part].single_use for take in step.takes)


def _angles(library: Library, engine: Engine, step: Step) -> Iterator[Problem]:
    # Imported here: only `vet` asks, and the units' module is not needed to walk.
    from diagtree.measure.torque import TorqueStep, parse_step

    for index, tightening in enumerate(step.torque):
        read = parse_step(tightening.steps[-1]) if tightening.steps else None
        if isinstance(read, TorqueStep) and read.is_angle:
            message = (
                f"'{tightening.bolts}' ends in an angle, and this step takes no single-use part. "
                "Take new bolts, or say in the part why it is used once."
            )
            path = ("work", step.id, "torque", index, "steps", len(tightening.steps) - 1)
            yield problem(library.value("engine", engine.id, *path), ID, message, severity=SEVERITY)
