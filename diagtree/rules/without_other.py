"""A tree that does not say how often the cause is not in it.

No tree holds every cause. Without `other` the belief in the last fault left standing grows to certainty, however
badly it fits. Write 0 where that is meant.

Wrong:
    weights: {oil-low: 30, tensioner-leak-down: 22}
Right:
    weights: {oil-low: 30, tensioner-leak-down: 22}
    other: 5
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import stands

ID = "without-other"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such tree, at its `weights`."""
    for tree in library.trees.values():
        if tree.other is None and not stands(library, "tree", tree.id, "other"):
            message = "This tree has no `other`: a cause that is not in it is never believed. Add its weight, 0 if so."
            yield problem(library.key("tree", tree.id, "weights"), ID, message, severity=SEVERITY)
