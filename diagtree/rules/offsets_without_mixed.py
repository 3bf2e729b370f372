"""A check of camshaft offsets that does not list `mixed`.

Offsets that fit none of the tidy patterns would be forced into one of them, and steer the walk to a wrong cause.

Wrong:
    answers: {none: All right, stretched: All a little late}
Right:
    answers: {none: All right, stretched: All a little late, mixed: No clear pattern}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem

ID = "offsets-without-mixed"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such check, at its `answers`."""
    for one in library.checks.values():
        if one.kind == "offsets" and one.answers and not one.answer("mixed"):
            message = "A check of offsets must list `mixed`. Add it: what is seen where no pattern fits."
            yield problem(library.key("checks", one.id, "answers"), ID, message, severity=SEVERITY)
