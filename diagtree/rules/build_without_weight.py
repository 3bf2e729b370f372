"""A build in which every weight of a tree is 0.

Nothing is left to believe in there, not even `other`: no chance can be worked out.

Wrong:
    weights: {oil-low: {chain: {roller: 10, inverted-tooth: 0}}}
Right:
    weights: {oil-low: {chain: {roller: 10, inverted-tooth: 2}}}
    other: 5
"""

from collections.abc import Iterator

from diagtree.model.engine import Build
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Tree
from diagtree.rules.survey import served_builds
from diagtree.rules.wording import build_names

ID = "build-without-weight"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such tree, at its `weights`, naming the builds."""
    for tree in library.trees.values():
        if tree.other or not tree.weights:
            continue
        empty = [made for made in served_builds(library, tree) if not _believes(library, tree, made[1])]
        if empty:
            message = (
                f"Every weight is 0 in {build_names(empty)}. Give a fault that it can have a weight, or write `other`."
            )
            yield problem(library.key("tree", tree.id, "weights"), ID, message, severity=SEVERITY)


def _believes(library: Library, tree: Tree, build: Build) -> bool:
    for name, amount in tree.weights.items():
        fault = library.faults.get(name)
        # A value that is not written is not 0: it has its own problem.
        if (fault is None or fault.when.admits(build.features)) and amount.of(build.features) != 0:
            return True
    return False
