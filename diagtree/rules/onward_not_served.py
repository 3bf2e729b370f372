"""A tree that goes on in another which does not serve all of its engines.

On such an engine the walk would enter a tree whose steps, parts or bands are not meant for it.

Wrong:
    tree: rattle
    engines: [brennick-v8, brennick-i4]
    nodes:
      over: {continue: sludge}
    ---
    tree: sludge
    engines: [brennick-v8]
Right:
    tree: sludge
    engines: [brennick-v8, brennick-i4]
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import served_engines
from diagtree.rules.wording import listed

ID = "onward-not-served"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such node, at its `continue`, naming the engines."""
    for tree in library.trees.values():
        for node in tree.onwards:
            onward = library.trees.get(node.tree)
            if onward is None:
                continue
            also = {engine.id for engine in served_engines(library, onward)}
            left = [engine.id for engine in served_engines(library, tree) if engine.id not in also]
            if left:
                message = (
                    f"Tree '{node.tree}' does not serve {listed(left)}, which this tree serves. "
                    "Let it serve them, or say in `engines` what this tree serves."
                )
                place = library.value("tree", tree.id, "nodes", node.id, "continue")
                yield problem(place, ID, message, severity=SEVERITY)
