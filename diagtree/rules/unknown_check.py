"""A check that is named and that no file has.

The walk could not ask it. Mostly a slip of the pen; the help names the nearest id.

Wrong:
    nodes:
      start: {check: oil-levle, then: {low: top-up, ok: soak}}
Right:
    nodes:
      start: {check: oil-level, then: {low: top-up, ok: soak}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.rules.survey import absent, exists
from diagtree.rules.wording import nearest

ID = "unknown-check"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such name: in a node, in `never-after`, in an engine's `limits`."""
    for name, place in _unknown(library):
        message = f"No check is called '{name}'. Correct the name, or write the check."
        yield problem(place, ID, message, hint=nearest("check", name, library.checks), severity=SEVERITY)


def _unknown(library: Library) -> Iterator[tuple[str, Place]]:
    for one in library.checks.values():
        for name in absent(library, "checks", one.never_after):
            yield name, library.key("checks", one.id, "never-after", name)
    for engine in library.engines.values():
        for name in absent(library, "checks", engine.limits):
            yield name, library.key("engine", engine.id, "limits", name)
    for tree in library.trees.values():
        for node in tree.questions:
            if node.check and not exists(library, "checks", node.check):  # an empty one could not be read
                yield node.check, library.value("tree", tree.id, "nodes", node.id, "check")
