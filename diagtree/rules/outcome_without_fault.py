"""An outcome that a build can reach though it can have none of its faults.

The walk would end there in a repair that this car does not need, or that it has no parts for. Let the check that
leads there apply only to the builds it is meant for, and give its `else`.

Wrong:
    faults:
      pump-leak: {title: Pump leaks, why: Seal., repair: [...], verify: [...], when: {water-pump: internal}}
    checks:
      coolant-in-oil: {ask: Drop on the hot plate?, hours: 0.1, answers: {'yes': Crackles, 'no': Quiet}}
    nodes:
      plate: {check: coolant-in-oil, then: {'yes': pump, 'no': soak}}
      pump: {outcome: pump-leak}
Right:
    nodes:
      plate: {check: coolant-in-oil, then: {'yes': pump, 'no': soak}}
      pump: {outcome: [pump-leak, head-gasket-leak]}
"""

from collections.abc import Iterator

from diagtree.model.engine import Build
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Outcome, Question, Tree
from diagtree.rules.paths import Ground, follow, ground, unfinished
from diagtree.rules.survey import Made, served_builds
from diagtree.rules.wording import build_names

ID = "outcome-without-fault"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such outcome, at its faults, naming the builds."""
    for tree in library.trees.values():
        suspects = _suspects(library, tree)
        on = ground(library, tree, lambda _check: ()) if suspects else None
        if on:
            yield from _reached(library, tree, on, suspects)


def _suspects(library: Library, tree: Tree) -> list[tuple[Made, frozenset[str]]]:
    """The builds with the outcomes that some answers lead to, though they can have none of the faults.

    Whether such answers agree with one another is left open here: mostly there are none, and no path is followed.
    """
    conditional = [node for node in tree.outcomes if all(_conditional(library, name) for name in node.faults)]
    found: list[tuple[Made, frozenset[str]]] = []
    for made in served_builds(library, tree) if conditional else ():
        empty = frozenset(node.id for node in conditional if _excluded(library, node, made[1]))
        met = empty & _open(library, tree, made[1]) if empty else empty
        if met:
            found.append((made, met))
    return found


def _conditional(library: Library, fault: str) -> bool:
    return fault in library.faults and bool(library.faults[fault].when.terms)


def _open(library: Library, tree: Tree, build: Build) -> set[str]:
    """The nodes that a build can reach if any answer may follow any other."""
    met: set[str] = set()
    waiting = [tree.start]
    while waiting:
        name = waiting.pop()
        node = tree.nodes.get(name)
        if node is None or name in met:
            continue
        met.add(name)
        if isinstance(node, Question):
            asked = library.checks.get(node.check)
            applies = asked is not None and asked.when.admits(build.features)
            waiting.extend((*node.then.values(), node.otherwise) if applies else (node.otherwise,))
    return met


def _reached(
    library: Library, tree: Tree, on: Ground, suspects: list[tuple[Made, frozenset[str]]]
) -> Iterator[Problem]:
    left: dict[str, list[Made]] = {}
    met: dict[frozenset[str], frozenset[str]] = {}
    for made, names in suspects:
        applying = on.applying(made[1].features)
        if applying not in met:
            followed = follow(on, applying)
            met[applying] = frozenset(state.spot[1] for state in followed.states if state.spot[0] == tree.id)
            if not followed.whole:
                yield unfinished(library, tree, ID)
                return
        for name in sorted(names & met[applying]):
            left.setdefault(name, []).append(made)
    for name, builds in left.items():
        message = (
            f"This outcome can be reached in {build_names(builds)}, which can have none of its faults. "
            "Lead it elsewhere."
        )
        yield problem(library.value("tree", tree.id, "nodes", name, "outcome"), ID, message, severity=SEVERITY)


def _excluded(library: Library, node: Outcome, build: Build) -> bool:
    """Whether a build can have none of the outcome's faults. An unknown fault has its own problem."""
    known = [library.faults.get(name) for name in node.faults]
    return all(fault is not None and not fault.when.admits(build.features) for fault in known)
