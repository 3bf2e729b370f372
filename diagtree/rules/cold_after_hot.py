"""A path that asks for a cold engine after a check that leaves it hot, without a wait between.

The technician would stand before a hot engine, or measure a warm one for a cold one. Ask what needs a cold engine
first, or give the check its `wait`. A check that needs the engine hot leaves it hot, unless it says otherwise.

Wrong:
    checks:
      pressure-hot: {ask: Pressure, hot?, hours: 0.6, needs: hot, answers: {...}}
      cold-rattle: {ask: Rattle?, hours: 0.1, needs: cold, answers: {...}}
    nodes:
      pressure: {check: pressure-hot, then: {low: pump, ok: rattle}}
      rattle: {check: cold-rattle, then: {...}}
Right:
    checks:
      cold-rattle: {ask: Rattle?, hours: 0.1, needs: cold, wait: 8, answers: {...}}
"""

from collections.abc import Iterator

from diagtree.model.check import Check
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Question, Tree
from diagtree.rules.paths import Ground, State, follow, ground, unfinished
from diagtree.rules.survey import served_builds

ID = "cold-after-hot"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such question, at its check, naming one check that leaves the engine hot."""
    if not any(one.needs == "cold" and not one.wait for one in library.checks.values()):
        return
    told: set[tuple[str, str]] = set()
    for tree in library.trees.values():
        on = ground(library, tree, lambda _check: ())
        if on and any(heated(one, "") for one in on.checks):
            yield from _met(library, tree, on, told)


def heated(one: Check, before: str) -> str:
    """The check that has left the engine hot once `one` is done; empty: it is cold."""
    if one.leaves == "hot" or (one.needs == "hot" and one.leaves is None):
        return one.id
    return "" if one.wait or one.leaves == "cold" else before


def _met(library: Library, tree: Tree, on: Ground, told: set[tuple[str, str]]) -> Iterator[Problem]:
    for applying in dict.fromkeys(on.applying(build.features) for _, build in served_builds(library, tree)):
        followed = follow(on, applying, heated)
        for state in followed.states:
            if state.carried and state.spot not in told and _needs_cold(on, applying, state):
                told.add(state.spot)
                yield _problem(library, state)
        if not followed.whole:
            yield unfinished(library, tree, ID)
            return


def _needs_cold(on: Ground, applying: frozenset[str], state: State) -> bool:
    node = on.nodes[state.spot]
    if not isinstance(node, Question) or node.check not in applying or node.check in dict(state.known):
        return False
    asked = on.library.checks[node.check]
    return asked.needs == "cold" and not asked.wait


def _problem(library: Library, state: State) -> Problem:
    message = (
        f"This needs a cold engine, and '{state.carried}' can come before it and leaves it hot. "
        "Ask this first, or give it a `wait`."
    )
    place = library.value("tree", state.spot[0], "nodes", state.spot[1], "check")
    return problem(place, ID, message, severity=SEVERITY)
