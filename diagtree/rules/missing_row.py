"""A fault of which a check says nothing, though a tree needs it to.

Without a row of its own, of its `kind-of` or a `default`, nobody knows how often each answer is seen with this
fault, and the belief after the answer can't be worked out. A tree that is gone on in is such a fault; and its
faults need rows too in the checks that may have been answered before.

Wrong:
    given: {oil-low: {low: 90, ok: 10}}       # the tree also weighs tensioner-leak-down
Right:
    given: {default: {low: 5, ok: 95}, oil-low: {low: 90, ok: 10}}
"""

from collections.abc import Iterator

from diagtree.graph.serving import checks_of
from diagtree.model.check import Check
from diagtree.model.fault import DEFAULT
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Tree
from diagtree.rules.survey import Made, exists, served_builds, stands, with_onward
from diagtree.rules.wording import listed

ID = "missing-row"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each check that lacks rows, at its `given`, naming the faults."""
    lacking: dict[str, dict[str, None]] = {}
    for tree in library.trees.values():
        asked = [one for one in checks_of(library, tree) if one.given and DEFAULT not in one.given]
        if asked:
            made = tuple(served_builds(library, tree))
            for one in asked:
                if not stands(library, "checks", one.id, "given", DEFAULT):
                    lacking.setdefault(one.id, {}).update(dict.fromkeys(_without_row(library, tree, one, made)))
    for name, faults in lacking.items():
        if faults:
            message = f"No row says how often each answer is seen with {listed(faults)}. Add a row, or a `default`."
            yield problem(library.key("checks", name, "given"), ID, message, severity=SEVERITY)


def _without_row(library: Library, tree: Tree, one: Check, made: tuple[Made, ...]) -> Iterator[str]:
    onward = {node.tree for node in tree.onwards}
    for name in (name for each in with_onward(library, tree) for name in each.weights):
        fault = library.faults.get(name)
        if name in one.given or stands(library, "checks", one.id, "given", name):
            continue
        if fault is None or name in onward:
            if exists(library, "tree", name):
                yield name
        elif fault.kind_of not in one.given and (not made or _meet(library, name, one, made)):
            yield name


def _meet(library: Library, name: str, one: Check, made: tuple[Made, ...]) -> bool:
    """Whether a build that the tree serves can have the fault and the check."""
    fault = library.faults[name]
    return any(fault.when.admits(build.features) and one.when.admits(build.features) for _, build in made)
