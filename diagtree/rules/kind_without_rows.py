"""A `kind-of` that no check has a row for.

The fault takes the `default` row everywhere, as if it had no kind. Mostly a slip of the pen.

Wrong:
    faults:
      leak-down: {title: Leaks down, why: Worn., repair: [], verify: [], kind-of: oil-straved}
    checks:
      pressure: {ask: Pressure?, hours: 1, answers: {...}, given: {default: 5, oil-starved: 80}}
Right:
    faults:
      leak-down: {title: Leaks down, why: Worn., repair: [], verify: [], kind-of: oil-starved}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import exists
from diagtree.rules.wording import nearest

ID = "kind-without-rows"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such kind, at its name."""
    rows = {name: None for one in library.checks.values() for name in one.given}
    for fault in library.faults.values():
        if fault.kind_of and fault.kind_of not in rows:
            message = (
                f"No check has a row for '{fault.kind_of}', so that it has no effect. Correct the name, or write a row."
            )
            kinds = [name for name in rows if not exists(library, "tree", name)]
            place = library.value("faults", fault.id, "kind-of")
            yield problem(place, ID, message, hint=nearest("row", fault.kind_of, kinds), severity=SEVERITY)
