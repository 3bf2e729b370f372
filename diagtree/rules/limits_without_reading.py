"""Limits for a check that is not answered with a reading.

There are no bands to move, so that they have no effect.

Wrong:
    checks:
      oil-level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
    limits: {oil-level: {low: {below: 1}, ok: {from: 1}}}
Right:
    checks:
      oil-pressure: {ask: Pressure?, hours: 0.6, reading: {unit: kPa}, answers: {low: {below: 100}, ok: {from: 100}}}
    limits: {oil-pressure: {low: {below: 80}, ok: {from: 80}}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.wording import nearest

ID = "limits-without-reading"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such check, at its name in `limits`."""
    readings = [one.id for one in library.checks.values() if one.kind == "reading"]
    for engine in library.engines.values():
        for name in engine.limits:
            limited = library.checks.get(name)
            if limited and limited.kind != "reading":
                message = f"Check '{name}' has no `reading`, so that there is no band to move. Delete these limits."
                place = library.key("engine", engine.id, "limits", name)
                yield problem(place, ID, message, hint=nearest("reading", name, readings), severity=SEVERITY)
