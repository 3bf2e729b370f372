"""Something with a weight that the tree never ends in.

The tree says that it happens and has no way to say so: that share of the cars is always sent home with another
cause. A fault must be an outcome of the tree; another tree must be one that it goes on in.

Wrong:
    weights: {oil-low: 30, oil-wrong: 10}
    nodes:
      top-up: {outcome: oil-low}
Right:
    weights: {oil-low: 30, oil-wrong: 10}
    nodes:
      top-up: {outcome: oil-low}
      drain: {outcome: oil-wrong}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import exists, unsure
from diagtree.rules.wording import meant

ID = "weight-without-outcome"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such weight, at its key."""
    for tree in library.trees.values():
        if not tree.nodes or unsure(library, tree):  # reported; an unread node may be the outcome
            continue
        ends = {name for node in tree.outcomes for name in node.faults} | {node.tree for node in tree.onwards}
        wrong = (name for name in ends if not exists(library, "faults", name) and not exists(library, "tree", name))
        ends |= meant(wrong, tree.weights)
        for name in tree.weights:
            if name in ends:
                continue
            place = library.key("tree", tree.id, "weights", name)
            if exists(library, "faults", name):
                message = f"Fault '{name}' has a weight but is no outcome of this tree. Add an outcome, or take it out."
                yield problem(place, ID, message, severity=SEVERITY)
            elif exists(library, "tree", name):
                message = f"Tree '{name}' has a weight but no node goes on in it. Add a `continue`, or take it out."
                yield problem(place, ID, message, severity=SEVERITY)
