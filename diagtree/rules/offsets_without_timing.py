"""A check of camshaft offsets on an engine without `timing`.

Which camshafts there are, and what a stretched chain does to each, is not known there: the check can't be answered.

Wrong:
    checks:
      cam-offsets: {ask: Offsets?, hours: 0.2, offsets: {uncertainty: 2}, answers: {none: Right, mixed: Other}}
    engine: brennick-i4      # without timing, served by a tree that asks cam-offsets
Right:
    engine: brennick-i4
    timing: {pitch: 8, crank-teeth: 22, cam-teeth: 44, cams: {intake-1: {bank: 1, span: 310}}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import served_checks, stands

ID = "offsets-without-timing"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such check and engine, at the engine's id, or at the check where there is no engine."""
    for one, engine, applying in served_checks(library):
        if one.kind != "offsets" or engine.timing or not applying:
            continue
        if engine.id not in library.engines:
            message = "Offsets are read by camshaft, and this library has no engine. Write one with its `timing`."
            yield problem(library.key("checks", one.id, "offsets"), ID, message, severity=SEVERITY)
        elif not stands(library, "engine", engine.id, "timing"):
            message = (
                f"Check '{one.id}' reads camshaft offsets, and '{engine.id}' has no `timing`. "
                "Write it, or say `when` the check applies."
            )
            yield problem(library.value("engine", engine.id, "engine"), ID, message, severity=SEVERITY)
