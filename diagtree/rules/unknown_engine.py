"""An engine that a tree's `engines` names and that no file has.

The tree would serve fewer engines than its author meant.

Wrong:
    engines: [brenick-v8]
Right:
    engines: [brennick-v8]
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import exists
from diagtree.rules.wording import nearest

ID = "unknown-engine"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such name."""
    for tree in library.trees.values():
        for index, name in enumerate(tree.engines or ()):
            if not exists(library, "engine", name):
                message = f"No engine is called '{name}'. Correct the name, or write the engine."
                place = library.value("tree", tree.id, "engines", index)
                yield problem(place, ID, message, hint=nearest("engine", name, library.engines), severity=SEVERITY)
