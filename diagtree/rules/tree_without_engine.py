"""A tree that no engine of the library can be walked with.

Each engine lacks a work step that one of its checks stands behind, or that one of its repairs needs.

Wrong:
    engine: brennick-v8
    work: {fill-oil: {title: Fill oil, hours: 0.2}}
    ---
    engine: brennick-i4
    work: {sump-off: {title: Sump off, hours: 2}}
    ---
    tree: sludge      # its faults are mended by fill-oil and sump-off
Right: write the steps that are missing in at least one engine.
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Tree
from diagtree.rules.survey import Lack, lacks, served_engines, with_onward
from diagtree.rules.wording import listed

ID = "tree-without-engine"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such tree, at its id; the help names the engine that lacks the least."""
    for tree in library.trees.values():
        if tree.engines is not None or served_engines(library, tree):
            continue
        lacking = {engine.id: _lacks(library, tree, engine) for engine in library.engines.values()}
        if lacking and all(lacking.values()):  # else a step that no engine has keeps it away: that is reported
            near = min(lacking, key=lambda name: len(lacking[name]))
            message = "No engine has every step that this tree needs. Write those that are missing in one of them."
            hint = f"The nearest engine is '{near}': it lacks {listed(dict.fromkeys(x.step for x in lacking[near]))}."
            yield problem(library.value("tree", tree.id, "tree"), ID, message, hint=hint, severity=SEVERITY)


def _lacks(library: Library, tree: Tree, engine: Engine) -> tuple[Lack, ...]:
    return tuple(lack for one in with_onward(library, tree) for lack in lacks(library, one, engine))
