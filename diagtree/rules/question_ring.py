"""Questions that lead back to one another.

A walk could go round for ever, and no path has a cost. To look again at something later, use another node for it.

Wrong:
    nodes:
      oil-level: {check: oil-level, then: {low: soak, ok: soak}}
      soak: {check: cold-rattle, then: {'yes': oil-level, 'no': quiet}}
Right:
    nodes:
      oil-level: {check: oil-level, then: {low: soak, ok: soak}}
      soak: {check: cold-rattle, then: {'yes': tensioner, 'no': quiet}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.model.tree import Question, Tree, targets
from diagtree.rules.rings import chain, rings

ID = "question-ring"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each ring, at the answer that closes it."""
    for tree in library.trees.values():
        for ring in rings({node.id: targets(node) for node in tree.nodes.values()}):
            message = f"These questions lead in a ring: {chain(ring)}. Lead one of their answers elsewhere."
            yield problem(_closing(library, tree, ring[-1], ring[0]), ID, message, severity=SEVERITY)


def _closing(library: Library, tree: Tree, last: str, first: str) -> Place:
    node = tree.nodes[last]
    answers = [answer for answer, end in node.then.items() if end == first] if isinstance(node, Question) else []
    path = ("then", answers[0]) if answers else ("else",)
    return library.value("tree", tree.id, "nodes", last, *path)
