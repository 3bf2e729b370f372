"""An answer of a check that leads nowhere.

The technician sees it on the car, gives it, and the walk has no next question.

Wrong:
    checks:
      oil-level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right, high: Too high}}
    nodes:
      start: {check: oil-level, then: {low: top-up, ok: soak}}
Right:
    nodes:
      start: {check: oil-level, then: {low: top-up, ok: soak, high: fuel-in-oil}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import stands
from diagtree.rules.wording import listed, meant

ID = "missing-answer"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each node whose `then` leaves answers of its check out."""
    for tree in library.trees.values():
        for node in tree.questions:
            asked = library.checks.get(node.check) if node.then else None  # an empty one could not be read
            path = ("nodes", node.id, "then")
            answers = [answer.id for answer in asked.answers] if asked else []
            misspelt = meant((name for name in node.then if name not in answers), answers) if asked else frozenset()
            absent = [
                name
                for name in answers
                if name not in node.then and name not in misspelt and not stands(library, "tree", tree.id, *path, name)
            ]
            if absent:
                message = f"`then` names no node for {listed(absent)} of check '{node.check}'. Add what follows."
                yield problem(library.key("tree", tree.id, *path), ID, message, severity=SEVERITY)
