"""A part that is taken, or held in a kit, and that no list of parts has.

It would be missing from the bill and from the order. What a work step takes and what a kit holds must be a part of
the same engine; what a check takes, of at least one.

Wrong:
    takes: {front-cover-sealent: 1}
Right:
    takes: {front-cover-sealant: 1}
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.rules.survey import has_part
from diagtree.rules.wording import nearest

ID = "unknown-part"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such name."""
    yield from _by_checks(library)
    for engine in library.engines.values():
        for name, place in _within(library, engine):
            if not has_part(library, engine, name):
                message = f"'{engine.id}' has no part '{name}'. Correct the name, or write the part."
                yield problem(place, ID, message, hint=nearest("part", name, engine.parts), severity=SEVERITY)


def _by_checks(library: Library) -> Iterator[Problem]:
    engines = library.engines.values()
    known = {part for engine in engines for part in engine.parts}
    for one in library.checks.values():
        for take in one.takes:
            if take.part in known or any(has_part(library, engine, take.part) for engine in engines):
                continue
            message = f"No engine has a part '{take.part}'. Correct the name, or write the part."
            place = library.key("checks", one.id, "takes", take.part)
            yield problem(place, ID, message, hint=nearest("part", take.part, sorted(known)), severity=SEVERITY)


def _within(library: Library, engine: Engine) -> Iterator[tuple[str, Place]]:
    for step in engine.work.values():
        for take in step.takes:
            if take.part not in engine.parts:
                yield take.part, library.key("engine", engine.id, "work", step.id, "takes", take.part)
    for index, kit in enumerate(engine.kits):
        for name in kit.holds:
            if name not in engine.parts:
                yield name, library.key("engine", engine.id, "kits", index, "holds", name)
