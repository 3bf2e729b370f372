"""A check of trouble codes without an answer for everything else.

A car with codes that no answer matches, or with none, has no answer. The last answer should be `[]`, which matches
anything.

Wrong:
    answers: {bank-1: [[P0016, P0017]], bank-2: [[P0018, P0019]]}
Right:
    answers: {bank-1: [[P0016, P0017]], bank-2: [[P0018, P0019]], none: []}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem

ID = "unmatched-codes"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such check, at its `answers`."""
    for one in library.checks.values():
        if one.kind == "codes" and one.answers and all(answer.groups for answer in one.answers):
            message = "A car with other codes, or with none, has no answer here. Add a last answer `[]`."
            yield problem(library.key("checks", one.id, "answers"), ID, message, severity=SEVERITY)
