"""A row of `given` for something that no tree can weigh.

Its figures are never used: the fault that was meant takes the `default` row without a word.

Wrong:
    given:
      default: {low: 5, ok: 95}
      oil-lwo: {low: 90, ok: 10}
Right:
    given:
      default: {low: 5, ok: 95}
      oil-low: {low: 90, ok: 10}
"""

from collections.abc import Iterator

from diagtree.model.fault import DEFAULT
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import exists
from diagtree.rules.wording import nearest

ID = "unknown-row"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each row whose key is no fault, no tree, no `kind-of` and not `default`."""
    kinds = {fault.kind_of for fault in library.faults.values()}
    for one in library.checks.values():
        for name in one.given:
            if name == DEFAULT or name in kinds or exists(library, "faults", name) or exists(library, "tree", name):
                continue
            message = (
                f"No fault, tree or `kind-of` is called '{name}', so this row is never used. "
                "Correct the name, or delete the row."
            )
            hint = nearest("name", name, (*library.faults, *library.trees, *sorted(kinds - {""})))
            yield problem(library.key("checks", one.id, "given", name), ID, message, hint=hint, severity=SEVERITY)
