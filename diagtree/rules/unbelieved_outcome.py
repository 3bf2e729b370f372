"""An outcome that the tables do not believe.

The tree is the procedure and the tables are the knowledge: where they disagree, one of them is wrong. Told where on
some path the outcome's faults together are less than half as likely as one other cause. A path counts that at least
1 in 1000 cars of a build take; one on which a check that applies has no answer (`else`), where that is 1 in 100. Of
several such paths the one that misleads most cars is told, with the figures of the build in which it does; builds are
named where others have no such path. Causes that are not in the tree (`other`) do not count, and to go on in another
tree is no outcome. A tree with more than 50 000 steps on such paths is not judged.

Wrong:
    given: {default: {low: 5, ok: 95}, oil-low: {low: 90, ok: 10}}
    nodes:
      level: {check: oil-level, then: {low: soak, ok: top-up}}
      top-up: {outcome: oil-low}
Right:
    nodes:
      level: {check: oil-level, then: {low: top-up, ok: soak}}
      top-up: {outcome: oil-low}
"""

from collections.abc import Iterator
from typing import NamedTuple

from diagtree.model.fault import OTHER
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Outcome, Question, Tree
from diagtree.rules.judging import Alike, Knowledge, knowledge, sound_trees
from diagtree.rules.survey import Made
from diagtree.rules.wording import build_names, in_hundred

ID = "unbelieved-outcome"
SEVERITY: Severity = "warning"

_SHARE = 0.001  # of the cars of a build: paths that fewer take are left aside
_SHARE_UNTOLD = 0.01  # the same where a check on the path has no answer
_MARGIN = 0.5  # of the likeliest other cause
_MOST_STEPS = 50_000  # in one tree; costs a quarter of a second

Chances = tuple[float, ...]
Known = tuple[tuple[str, str], ...]  # check, answer (empty: cannot tell), in the order of the path


class _Place(NamedTuple):
    """A node on a path."""

    node: str
    chances: Chances  # P(cause, answers)
    known: Known
    untold: bool


class _Doubt(NamedTuple):
    """A path to an outcome that the tables do not believe."""

    misled: float  # share of cars with the other cause, less that with the outcome's faults
    known: Known
    believed: str
    chance: float
    own: float


class _TooMany(Exception):  # noqa: N818  # not an error: ends one tree
    pass


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such outcome, at its faults, with the worst path."""
    for tree in sound_trees(library):
        known = knowledge(library, tree)
        try:
            doubts = _doubts(library, tree, known)
        except _TooMany:
            continue
        every = sum(len(group.made) for group in known.builds)
        for name in dict.fromkeys(name for _, found in doubts for name in found):
            having = [(group, found[name]) for group, found in doubts if name in found]
            made = tuple(one for group, _ in having for one in group.made)
            worst = max((doubt for _, doubt in having), key=lambda doubt: doubt.misled)
            yield _problem(library, tree, name, worst, made if len(made) < every else ())


def _doubts(library: Library, tree: Tree, known: Knowledge) -> list[tuple[Alike, dict[str, _Doubt]]]:
    """For builds that are alike, the worst path to each outcome that is not believed."""
    doubts = []
    steps = 0
    for group in known.builds:
        worst: dict[str, _Doubt] = {}
        waiting = [_Place(tree.start, group.prior, (), untold=False)]
        while waiting:
            here = waiting.pop()
            node = tree.nodes[here.node]
            steps += 1
            if steps > _MOST_STEPS:
                raise _TooMany
            if isinstance(node, Question):
                waiting.extend(_next(library, group, node, here))
            elif isinstance(node, Outcome):
                found = _judge(known.causes, node, here)
                if found and (node.id not in worst or found.misled > worst[node.id].misled):
                    worst[node.id] = found
        doubts.append((group, worst))
    return doubts


def _next(library: Library, group: Alike, node: Question, here: _Place) -> Iterator[_Place]:
    answered = dict(here.known)
    if answered.get(node.check):
        yield here._replace(node=node.then[answered[node.check]])
        return
    asked = library.checks[node.check]
    forbidden = any(answered.get(name) in answers for name, answers in asked.never_after.items())
    if node.check not in group.applies or forbidden:
        if node.otherwise:
            yield here._replace(node=node.otherwise)
        return
    if node.otherwise and not here.untold and sum(here.chances) >= _SHARE_UNTOLD:
        yield _Place(node.otherwise, here.chances, (*here.known, (node.check, "")), untold=True)
    least = _SHARE_UNTOLD if here.untold else _SHARE
    for place, answer in enumerate(asked.answers):
        row = group.rows[node.check][place]
        chances = tuple([chance * likely for chance, likely in zip(here.chances, row, strict=True)])
        if sum(chances) >= least:
            yield _Place(node.then[answer.id], chances, (*here.known, (node.check, answer.id)), here.untold)


def _judge(causes: tuple[str, ...], node: Outcome, here: _Place) -> _Doubt | None:
    own, best, believed = 0.0, 0.0, ""
    for cause, chance in zip(causes, here.chances, strict=True):
        if cause in node.faults:
            own += chance
        elif chance > best and cause != OTHER:
            best, believed = chance, cause
    if own >= _MARGIN * best:
        return None
    total = sum(here.chances)
    return _Doubt(best - own, here.known, believed, best / total, own / total)


def _problem(library: Library, tree: Tree, name: str, doubt: _Doubt, made: tuple[Made, ...]) -> Problem:
    path = ", ".join(f"{check}={answer or '?'}" for check, answer in doubt.known)
    where = f" in {build_names(made)}" if made else ""
    message = (
        f"{f'After {path}' if path else 'From the start'}{where} the tables believe '{doubt.believed}' "
        f"({in_hundred(doubt.chance)}) and not the outcome '{name}' ({in_hundred(doubt.own)}). "
        "Lead these answers elsewhere, or mend the weights and `given`."
    )
    return problem(library.value("tree", tree.id, "nodes", name, "outcome"), ID, message, severity=SEVERITY)
