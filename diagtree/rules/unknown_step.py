"""A work step that is named and that is in no engine's work.

Without it nobody knows what the check or the repair opens, takes and costs. What `after`, `follows` and `brings`
name must stand in the same engine; what `behind` and `repair` name, in at least one.

Wrong:
    faults:
      oil-low: {title: Oil low, why: Leaks., repair: [fill-oli], verify: [Level right.]}
Right:
    faults:
      oil-low: {title: Oil low, why: Leaks., repair: [fill-oil], verify: [Level right.]}
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.rules.survey import has_step
from diagtree.rules.wording import nearest

ID = "unknown-step"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such name."""
    yield from _shared(library)
    for engine in library.engines.values():
        for name, place in _within(library, engine):
            if not has_step(library, engine, name):
                message = f"The work of '{engine.id}' has no step '{name}'. Correct the name, or write the step."
                yield problem(place, ID, message, hint=nearest("step", name, engine.work), severity=SEVERITY)


def _shared(library: Library) -> Iterator[Problem]:
    engines = library.engines.values()
    known = {step for engine in engines for step in engine.work}
    for name, place in _named(library, known):
        if any(has_step(library, engine, name) for engine in engines):
            continue
        message = f"No engine's work has a step '{name}'. Correct the name, or write the step."
        if not engines:
            message = f"This library has no engine, so no step '{name}' either. Write one with it, or leave [] here."
        yield problem(place, ID, message, hint=nearest("step", name, sorted(known)), severity=SEVERITY)


def _named(library: Library, known: set[str]) -> Iterator[tuple[str, Place]]:
    for one in library.checks.values():
        for index, name in enumerate(one.behind):
            if name not in known:
                yield name, library.value("checks", one.id, "behind", index)
    for fault in library.faults.values():
        for index, name in enumerate(fault.repair):
            if name not in known:
                yield name, library.value("faults", fault.id, "repair", index)


def _within(library: Library, engine: Engine) -> Iterator[tuple[str, Place]]:
    for step in engine.work.values():
        for index, name in enumerate(step.after):
            if name not in engine.work:
                yield name, library.value("engine", engine.id, "work", step.id, "after", index)
        for index, name in enumerate(step.follows):
            if name not in engine.work:
                yield name, library.value("engine", engine.id, "work", step.id, "follows", index)
        for name in step.brings:
            if name not in engine.work:
                yield name, library.key("engine", engine.id, "work", step.id, "brings", name)
