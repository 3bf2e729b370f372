"""An outcome, or a tree that is gone on in, without a weight.

The tables would never believe in it: its chance is nothing, whatever the answers. A weight of 0 may be written.

Wrong:
    weights: {oil-low: 30}
    nodes:
      top-up: {outcome: oil-low}
      drain: {outcome: oil-wrong}
Right:
    weights: {oil-low: 30, oil-wrong: 10}
    nodes:
      top-up: {outcome: oil-low}
      drain: {outcome: oil-wrong}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.model.tree import Tree
from diagtree.rules.survey import exists, stands
from diagtree.rules.wording import meant

ID = "outcome-without-weight"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for the first node of each such fault or tree, at its name."""
    for tree in library.trees.values():
        if all(name in tree.weights for name in _names(tree)):
            continue
        ends = tuple(_ends(library, tree))
        wrong = (name for name in tree.weights if not exists(library, "faults", name))
        told = {*tree.weights, *meant(wrong, (name for name, _ in ends if name not in tree.weights))}
        for name, place in ends:
            if name not in told and not stands(library, "tree", tree.id, "weights", name):
                told.add(name)
                message = (
                    f"'{name}' has no weight in this tree. Add it to `weights`: how often is it behind this complaint?"
                )
                yield problem(place, ID, message, severity=SEVERITY)


def _names(tree: Tree) -> Iterator[str]:
    yield from (name for node in tree.outcomes for name in node.faults)
    yield from (node.tree for node in tree.onwards)


def _ends(library: Library, tree: Tree) -> Iterator[tuple[str, Place]]:
    """The known faults and trees that the tree ends in; unknown ones have their own problem."""
    for node in tree.outcomes:
        for index, name in enumerate(node.faults):
            if exists(library, "faults", name):
                yield name, library.value("tree", tree.id, "nodes", node.id, "outcome", index)
    for onward in tree.onwards:
        if exists(library, "tree", onward.tree):
            yield onward.tree, library.value("tree", tree.id, "nodes", onward.id, "continue")
