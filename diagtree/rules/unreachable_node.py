"""A node that no answer leads to.

Nobody is ever asked it, so its wording and its costs rot unseen.

Wrong:
    start: oil-level
    nodes:
      oil-level: {check: oil-level, then: {low: soak, ok: soak}}
      soak: {outcome: tensioner-leak-down}
      top-up: {outcome: oil-low}
Right:
    start: oil-level
    nodes:
      oil-level: {check: oil-level, then: {low: top-up, ok: soak}}
      soak: {outcome: tensioner-leak-down}
      top-up: {outcome: oil-low}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Tree, targets
from diagtree.rules.survey import unsure
from diagtree.rules.wording import meant

ID = "unreachable-node"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such node, at its id."""
    for tree in library.trees.values():
        if tree.start not in tree.nodes or unsure(library, tree):  # reported; all others would follow from it
            continue
        for name in _unreached(tree):
            message = f"No path from the start leads to '{name}'. Name it in a `then` or `else`, or delete it."
            yield problem(library.key("tree", tree.id, "nodes", name), ID, message, severity=SEVERITY)


def _unreached(tree: Tree) -> Iterator[str]:
    """The nodes that nothing leads to; what a misspelt name is meant for counts as led to."""
    wrong = {end for node in tree.nodes.values() for end in targets(node) if end not in tree.nodes}
    reached: set[str] = set()
    waiting = [tree.start, *meant(sorted(wrong), tree.nodes)]
    while waiting:
        name = waiting.pop()
        if name in tree.nodes and name not in reached:
            reached.add(name)
            waiting.extend(targets(tree.nodes[name]))
    return (name for name in tree.nodes if name not in reached)
