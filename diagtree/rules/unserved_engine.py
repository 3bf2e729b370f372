"""An engine that a tree without `engines` does not serve.

A tree that does not say what it serves, serves each engine that has the steps it needs. One step forgotten in an
engine takes the whole tree away from it, without a word.

Wrong:
    tree: rattle      # its checks stand behind rocker-covers-off, which brennick-i4 has not
Right:
    tree: rattle
    engines: [brennick-v8]
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Tree
from diagtree.rules.survey import lacks, served_engines, with_onward
from diagtree.rules.wording import listed

ID = "unserved-engine"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such engine, at the tree's id."""
    for tree in library.trees.values():
        served = served_engines(library, tree) if tree.engines is None else ()
        if served:
            yield from _left_out(library, tree, {engine.id for engine in served})


def _left_out(library: Library, tree: Tree, served: set[str]) -> Iterator[Problem]:
    trees = with_onward(library, tree)
    for engine in library.engines.values():
        if engine.id not in served:
            steps = dict.fromkeys(lack.step for one in trees for lack in lacks(library, one, engine))
            message = (
                f"This tree does not serve '{engine.id}', which lacks {listed(steps)}. "
                "Write the missing work there, or say in `engines` what the tree serves."
            )
            yield problem(library.value("tree", tree.id, "tree"), ID, message, severity=SEVERITY)
