"""A camshaft sprocket that has not twice the crank sprocket's teeth.

A four-stroke camshaft turns at half crank speed; with other figures every angle that is worked out from them is
wrong.

Wrong:
    timing: {pitch: 8, crank-teeth: 22, cam-teeth: 42, cams: {intake-1: {bank: 1, span: 310}}}
Right:
    timing: {pitch: 8, crank-teeth: 22, cam-teeth: 44, cams: {intake-1: {bank: 1, span: 310}}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem

ID = "wrong-cam-teeth"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such engine, at its `cam-teeth`."""
    for engine in library.engines.values():
        timing = engine.timing
        if timing and timing.cam_teeth != 2 * timing.crank_teeth:
            message = (
                f"{timing.cam_teeth} teeth are not twice the crank sprocket's {timing.crank_teeth}. "
                f"Write {2 * timing.crank_teeth}, or correct `crank-teeth`."
            )
            yield problem(library.value("engine", engine.id, "timing", "cam-teeth"), ID, message, severity=SEVERITY)
