"""A question without `else` whose check does not apply to every build that the tree can serve.

On such a build the walk reaches the question, may not ask it, and has nowhere to go.

Wrong:
    checks:
      pump-weep: {ask: Weep hole dry?, hours: 0.1, when: {water-pump: external}, answers: {dry: Dry, wet: Wet}}
    nodes:
      pump: {check: pump-weep, then: {dry: soak, wet: renew-pump}}
Right:
    nodes:
      pump: {check: pump-weep, then: {dry: soak, wet: renew-pump}, else: soak}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Tree
from diagtree.rules.survey import served_builds, stands
from diagtree.rules.wording import build_names

ID = "missing-else"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such node, at its check."""
    for tree in library.trees.values():
        yield from _questions(library, tree)


def _questions(library: Library, tree: Tree) -> Iterator[Problem]:
    for node in tree.questions:
        asked = library.checks.get(node.check)
        if node.otherwise or asked is None or not asked.when.terms:
            continue
        left = [made for made in served_builds(library, tree) if not asked.when.admits(made[1].features)]
        if left and not stands(library, "tree", tree.id, "nodes", node.id, "else"):
            message = (
                f"Check '{node.check}' does not apply to {build_names(left)}. Add an `else` that says what follows."
            )
            yield problem(library.value("tree", tree.id, "nodes", node.id, "check"), ID, message, severity=SEVERITY)
