"""Trees that go on in one another in a ring.

A walk could change trees for ever, and no tree's cost could be worked out.

Wrong:
    tree: rattle
    nodes:
      over: {continue: sludge}
    ---
    tree: sludge
    nodes:
      back: {continue: rattle}
Right: end one of the two in an outcome, or move what both need into a third tree.
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.rings import chain, rings

ID = "tree-ring"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each ring, at the `continue` that closes it."""
    graph = {tree.id: tuple(node.tree for node in tree.onwards) for tree in library.trees.values()}
    for ring in rings(graph):
        last = library.trees[ring[-1]]
        node = next(node for node in last.onwards if node.tree == ring[0])
        message = f"These trees go on in one another in a ring: {chain(ring)}. End one of them in an outcome."
        yield problem(library.value("tree", last.id, "nodes", node.id, "continue"), ID, message, severity=SEVERITY)
