"""A `continue` to a tree that no file has.

The walk would stand still there.

Wrong:
    nodes:
      over-to-sludge: {continue: oil-sluge}
Right:
    nodes:
      over-to-sludge: {continue: oil-sludge}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import exists
from diagtree.rules.wording import nearest

ID = "unknown-tree"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such name."""
    for tree in library.trees.values():
        for node in tree.onwards:
            if not exists(library, "tree", node.tree):
                message = f"No tree is called '{node.tree}'. Correct the name, or write the tree."
                place = library.value("tree", tree.id, "nodes", node.id, "continue")
                yield problem(place, ID, message, hint=nearest("tree", node.tree, library.trees), severity=SEVERITY)
