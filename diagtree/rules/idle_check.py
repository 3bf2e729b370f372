"""A check that changes nothing: whatever it shows, the same follows.

It costs time and tells the walk nothing. Same means: the same node, or nodes from which the same questions lead to the
same outcomes. A check that is asked again further on, that decides whether another one may be asked (`never-after`),
or after which the walk may go on in another tree, is not told: there the answer still counts.

Wrong:
    nodes:
      cap: {check: oil-cap-look, then: {clean: soak, sludge: soak}}
Right:
    nodes:
      cap: {check: oil-cap-look, then: {clean: soak, sludge: pressure}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.judging import counts_from, same_ends, sound_trees

ID = "idle-check"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such question, at its check."""
    for tree in sound_trees(library):
        same = same_ends(tree)
        for node in tree.questions:
            ends = [*node.then.values(), *([node.otherwise] if node.otherwise else [])]
            if len({same[end] for end in ends}) == 1 and not counts_from(library, tree, node.check, ends[0]):
                message = (
                    f"Whatever '{node.check}' shows here, the same follows. Lead its answers apart, or take it out."
                )
                place = library.value("tree", tree.id, "nodes", node.id, "check")
                yield problem(place, ID, message, severity=SEVERITY)
