"""A node that `start`, `then` or `else` names and that the tree has not.

The answer would lead nowhere.

Wrong:
    start: oil-level
    nodes:
      oil-level: {check: oil-level, then: {low: topup, ok: soak}}
      top-up: {outcome: oil-low}
Right:
    start: oil-level
    nodes:
      oil-level: {check: oil-level, then: {low: top-up, ok: soak}}
      top-up: {outcome: oil-low}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.model.tree import Tree
from diagtree.rules.survey import stands
from diagtree.rules.wording import nearest

ID = "unknown-node"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such name."""
    for tree in library.trees.values():
        for name, place in _unknown(library, tree):
            if not stands(library, "tree", tree.id, "nodes", name):
                message = f"This tree has no node '{name}'. Correct the name, or write the node."
                yield problem(place, ID, message, hint=nearest("node", name, tree.nodes), severity=SEVERITY)


def _unknown(library: Library, tree: Tree) -> Iterator[tuple[str, Place]]:
    known = tree.nodes
    if not known:  # they could not be read
        return
    if tree.start and tree.start not in known:  # an empty one could not be read
        yield tree.start, library.value("tree", tree.id, "start")
    for node in tree.questions:
        for answer, name in node.then.items():
            if name not in known:
                yield name, library.value("tree", tree.id, "nodes", node.id, "then", answer)
        if node.otherwise and node.otherwise not in known:
            yield node.otherwise, library.value("tree", tree.id, "nodes", node.id, "else")
