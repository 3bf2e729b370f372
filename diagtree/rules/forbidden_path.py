"""A path of a tree that asks a check after an answer that forbids it.

`never-after` says that the check would do harm then, as turning an engine over with a jumped chain does. The walk
refuses it and the path ends there. Paths through `continue` count.

Wrong:
    checks:
      cranking: {ask: Compression?, hours: 0.3, answers: {...}, never-after: {cam-offsets: [all-together]}}
    nodes:
      offsets: {check: cam-offsets, then: {none: crank, all-together: crank}}
      crank: {check: cranking, then: {...}}
Right:
    nodes:
      offsets: {check: cam-offsets, then: {none: crank, all-together: slipped}}
      crank: {check: cranking, then: {...}}
"""

from collections.abc import Iterator
from dataclasses import replace

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Node, Question, Tree
from diagtree.rules.paths import Ground, Spot, State, follow, ground, unfinished
from diagtree.rules.survey import served_builds, with_onward

ID = "forbidden-path"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such question and answer, at the question's check."""
    if not any(one.never_after for one in library.checks.values()):
        return
    told: set[tuple[str, str, str, str]] = set()
    for tree in library.trees.values():
        if _can_meet(library, tree):
            on = ground(library, tree, lambda one: one.never_after)
            above = _above_forbidden(on) if on else None
            if above:
                yield from _met(library, tree, above, told)


def _above_forbidden(on: Ground) -> Ground | None:
    """The ground as far as it leads to a check that some answer forbids: nothing can be found below.

    None where the start leads to none: such a check then stands only in questions that no path meets.
    """
    names = frozenset(one.id for one in on.checks)
    asked = frozenset(one.id for one in on.checks if not names.isdisjoint(one.never_after))
    nodes = {spot: node for spot, node in on.nodes.items() if not asked.isdisjoint(on.matters[spot])}
    return replace(on, nodes=nodes) if on.start in nodes else None


def _can_meet(library: Library, tree: Tree) -> bool:
    """Whether a forbidding answer stands anywhere above what it forbids. Mostly not, and then no path is followed."""
    asked = {name for one in with_onward(library, tree) for name in one.checks if name in library.checks}
    if all(asked.isdisjoint(library.checks[name].never_after) for name in asked):
        return False
    on = ground(library, tree, lambda _check: ())
    return on is not None and any(_leads_to_forbidden(on, spot, node) for spot, node in on.nodes.items())


def _leads_to_forbidden(on: Ground, spot: Spot, node: Node) -> bool:
    if not isinstance(node, Question):
        return False
    return any(
        answer in on.library.checks[name].never_after.get(node.check, ())
        for answer, end in node.then.items()
        for name in on.matters.get((spot[0], end), ())
    )


def _met(library: Library, tree: Tree, on: Ground, told: set[tuple[str, str, str, str]]) -> Iterator[Problem]:
    for applying in dict.fromkeys(on.applying(build.features) for _, build in served_builds(library, tree)):
        followed = follow(on, applying)
        for state in followed.states:
            for after, answer in _forbidding(on, applying, state):
                if (*state.spot, after, answer) not in told:
                    told.add((*state.spot, after, answer))
                    yield _problem(library, tree, state, after, answer)
        if not followed.whole:
            yield unfinished(library, tree, ID)
            return


def _forbidding(on: Ground, applying: frozenset[str], state: State) -> Iterator[tuple[str, str]]:
    """The known answers that forbid what is asked at a state."""
    node = on.nodes[state.spot]
    known = dict(state.known)
    if not isinstance(node, Question) or node.check not in applying or node.check in known:
        return
    asked = on.library.checks[node.check]
    for after, answers in asked.never_after.items():
        if known.get(after) in answers:
            yield after, known[after]


def _problem(library: Library, tree: Tree, state: State, after: str, answer: str) -> Problem:
    owner, name = state.spot
    node = library.trees[owner].nodes[name]
    asked = node.check if isinstance(node, Question) else ""
    whence = "" if owner == tree.id else f" by way of tree '{tree.id}'"
    message = (
        f"'{after}' answered '{answer}' leads here{whence}, and '{asked}' must never be done after it. "
        "Lead that answer elsewhere."
    )
    return problem(library.value("tree", owner, "nodes", name, "check"), ID, message, severity=SEVERITY)
