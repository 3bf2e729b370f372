"""A row of `given` in which every answer is 0.

It says that no answer is ever seen, so that there is nothing to divide by.

Wrong:
    given: {oil-low: {low: 0, ok: 0}}
Right:
    given: {oil-low: {low: 90, ok: 10}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem

ID = "row-of-zeros"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such row, at its key."""
    for one in library.checks.values():
        for name, row in one.given.items():
            if not any(row):
                message = f"Every answer of this row is 0. Say how often each is seen when it is '{name}'."
                yield problem(library.key("checks", one.id, "given", name), ID, message, severity=SEVERITY)
