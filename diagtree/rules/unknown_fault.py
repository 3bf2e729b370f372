"""A fault that a tree names and that no file has.

An outcome without its fault has no repair, no scope and no bill.

Wrong:
    nodes:
      top-up: {outcome: oil-lwo}
Right:
    nodes:
      top-up: {outcome: oil-low}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Tree
from diagtree.rules.survey import exists
from diagtree.rules.wording import nearest

ID = "unknown-fault"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such name: in an outcome, in `weights`."""
    for tree in library.trees.values():
        yield from _outcomes(library, tree)
        yield from _weights(library, tree)


def _outcomes(library: Library, tree: Tree) -> Iterator[Problem]:
    for node in tree.outcomes:
        for index, name in enumerate(node.faults):
            if not exists(library, "faults", name):
                message = f"No fault is called '{name}'. Correct the name, or write the fault."
                place = library.value("tree", tree.id, "nodes", node.id, "outcome", index)
                yield problem(place, ID, message, hint=nearest("fault", name, library.faults), severity=SEVERITY)


def _weights(library: Library, tree: Tree) -> Iterator[Problem]:
    onward = {node.tree for node in tree.onwards}
    # An outcome that spells it the same way has its own problem: one cure mends both.
    told = {name for node in tree.outcomes for name in node.faults}
    for name in tree.weights:
        known = exists(library, "faults", name) or exists(library, "tree", name)
        if not known and name not in onward and name not in told:
            message = f"No fault is called '{name}'. Correct the name, or write the fault."
            place = library.key("tree", tree.id, "weights", name)
            hint = nearest("fault", name, (*library.faults, *sorted(onward)))
            yield problem(place, ID, message, hint=hint, severity=SEVERITY)
