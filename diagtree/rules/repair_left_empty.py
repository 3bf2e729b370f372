"""A fault without a step left in a build that can have it.

All steps of its repair are excluded by that build, so that its scope would be nothing at no cost. A fault that
needs no work says `repair: []`.

Wrong:
    faults:
      pump-leak: {title: Pump leaks, why: Worn seal., repair: [renew-inner-pump], verify: [Dry.]}
    work:
      renew-inner-pump: {title: Renew the pump, hours: 1, when: {water-pump: internal}}
Right:
    faults:
      pump-leak: {title: Pump leaks, why: Worn seal., repair: [renew-inner-pump, renew-outer-pump], verify: [Dry.]}
    work:
      renew-inner-pump: {title: Renew the pump, hours: 1, when: {water-pump: internal}}
      renew-outer-pump: {title: Renew the pump, hours: 0.5, when: {water-pump: external}}
"""

from collections.abc import Iterator

from diagtree.graph.serving import faults_of
from diagtree.model.engine import Engine
from diagtree.model.fault import Fault
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.quantity import Features
from diagtree.rules.survey import Made, served_builds
from diagtree.rules.wording import build_names

ID = "repair-left-empty"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such fault, at its `repair`, naming the builds of the engines that its trees serve."""
    left: dict[str, dict[tuple[str, str], Made]] = {}
    for tree in library.trees.values():
        mended = [fault for fault in faults_of(library, tree) if fault.repair]
        for engine, build in served_builds(library, tree):
            for fault in mended:
                if fault.when.admits(build.features) and _excluded(fault, engine, build.features):
                    left.setdefault(fault.id, {})[engine.id, build.id] = (engine, build)
    for name, made in left.items():
        message = (
            f"No step of this repair is left in {build_names(tuple(made.values()))}. "
            "Add a step for it, or say in the fault's `when` which builds can have it."
        )
        yield problem(library.key("faults", name, "repair"), ID, message, severity=SEVERITY)


def _excluded(fault: Fault, engine: Engine, features: Features) -> bool:
    steps = [engine.work.get(name) for name in fault.repair]
    # A step that the engine has not is reported by its own rule.
    return all(step is not None and not step.when.admits(features) for step in steps)
