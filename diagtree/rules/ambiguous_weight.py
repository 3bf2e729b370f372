"""A weight that could mean a fault or a tree.

A tree that this one goes on in stands among the weights by its id. Where a fault that this tree ends in has the
same id, one weight would count for both.

Wrong:
    weights: {oil-sludge: 10}
    nodes:
      clean: {outcome: oil-sludge}
      over: {continue: oil-sludge}
Right:
    weights: {sludge-light: 4, oil-sludge: 6}
    nodes:
      clean: {outcome: sludge-light}
      over: {continue: oil-sludge}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem

ID = "ambiguous-weight"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such id, at the `continue`."""
    for tree in library.trees.values():
        faults = {name for node in tree.outcomes for name in node.faults}
        for node in tree.onwards:
            if node.tree in faults:
                message = (
                    f"'{node.tree}' is both a fault and a tree that this tree ends in. Give one of them another id."
                )
                place = library.value("tree", tree.id, "nodes", node.id, "continue")
                yield problem(place, ID, message, severity=SEVERITY)
