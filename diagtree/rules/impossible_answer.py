"""An answer that cannot happen where it stands, so that its way is dead.

What follows it is never walked, and rots unseen. Either the tables give every cause that is left 0 for it (and `slip`
is 0), or no build that gets here has the check, or the check was answered before and always alike. A node that sorts
by an answer given before is fine as long as two of its ways are open. A tree of more than 10 000 states (see
`forbidden-path`) is not judged.

Wrong:
    nodes:
      level: {check: oil-level, then: {low: top-up, ok: again}}
      again: {check: oil-level, then: {low: top-up, ok: soak}}      # it is ok here, always
Right:
    nodes:
      level: {check: oil-level, then: {low: top-up, ok: soak}}
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple, TypeAlias

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Question, Tree
from diagtree.rules.judging import Alike, knowledge, sound_trees
from diagtree.rules.paths import MOST_STATES, Ground, ground
from diagtree.rules.wording import listed

ID = "impossible-answer"
SEVERITY: Severity = "warning"

Manner: TypeAlias = Literal["asked", "known", "excluded"]


class _State(NamedTuple):
    """A node, the answers that still matter, and the causes that are left, a bit each."""

    node: str
    known: tuple[tuple[str, str], ...]
    left: int


class _Met(NamedTuple):
    """How a question is met: in which manners, and the answers that lead on from it."""

    manners: set[Manner]
    live: set[str]


@dataclass(frozen=True, slots=True)
class _Walked:
    """A tree, and how its questions are met."""

    library: Library
    tree: Tree
    on: Ground
    met: dict[str, _Met] = field(default_factory=dict)


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such answer, at the answer; where a question is needless, at its check."""
    for tree in sound_trees(library):
        on = ground(library, tree, lambda one: one.never_after)
        if on:
            known = knowledge(library, tree)
            walked = _Walked(library, tree, on)
            if all(_walk(walked, group) for group in known.builds):
                for name, found in walked.met.items():
                    yield from _dead(walked, name, found)


def _mask(row: tuple[float, ...]) -> int:
    return sum(1 << place for place, chance in enumerate(row) if chance > 0)


def _walk(walked: _Walked, group: Alike) -> bool:
    """Take down how builds meet each question; whether they did so in few enough states."""
    # Of each check, for each answer the causes that can show it, a bit each.
    possible = {name: [_mask(row) for row in rows] for name, rows in group.rows.items()}
    first = _State(walked.tree.start, (), _mask(group.prior))
    seen = {first}
    waiting = [first]
    while waiting:
        for state in _next(walked, group, possible, waiting.pop()):
            if state not in seen:
                seen.add(state)
                waiting.append(state)
        if len(seen) > MOST_STATES:
            return False
    return True


def _next(walked: _Walked, group: Alike, possible: Mapping[str, list[int]], here: _State) -> Iterator[_State]:
    node = walked.tree.nodes[here.node]
    if not isinstance(node, Question):
        return
    found = walked.met.setdefault(node.id, _Met(set(), set()))
    known = dict(here.known)
    if node.check in known:
        found.manners.add("known")
        found.live.add(known[node.check])
        yield _at(walked, node.then[known[node.check]], here.known, here.left)
        return
    if node.otherwise:
        yield _at(walked, node.otherwise, here.known, here.left)
    if node.check not in group.applies:
        found.manners.add("excluded")
        return
    found.manners.add("asked")
    asked = walked.library.checks[node.check]
    if any(known.get(name) in answers for name, answers in asked.never_after.items()):
        found.live.update(node.then)  # a path that is forbidden has its own problem
        return
    # What the engine can never show is no fault of the tree: another engine may.
    found.live.update(name for check, name in group.unseen if check == node.check)
    for answer, mask in zip(asked.answers, possible[node.check], strict=True):
        if here.left & mask:
            found.live.add(answer.id)
            further = tuple(sorted((*here.known, (node.check, answer.id))))
            yield _at(walked, node.then[answer.id], further, here.left & mask)


def _at(walked: _Walked, node: str, known: tuple[tuple[str, str], ...], left: int) -> _State:
    matters = walked.on.matters[walked.tree.id, node]
    return _State(node, tuple([pair for pair in known if pair[0] in matters]), left)


def _dead(walked: _Walked, name: str, found: _Met) -> Iterator[Problem]:
    library, tree, node = walked.library, walked.tree, walked.tree.nodes[name]
    assert isinstance(node, Question), "only questions are met"
    where = ("nodes", node.id)
    if "asked" in found.manners:
        for answer in node.then:
            if answer not in found.live:
                message = (
                    "This answer cannot happen here: every cause that is left rules it out. "
                    "Mend `given` or `slip`, or ask something else."
                )
                yield problem(library.key("tree", tree.id, *where, "then", answer), ID, message, severity=SEVERITY)
    elif "known" not in found.manners:
        message = f"No build that gets here has the check '{node.check}'. Lead straight to '{node.otherwise}'."
        yield problem(library.value("tree", tree.id, *where, "check"), ID, message, severity=SEVERITY)
    elif "excluded" not in found.manners and len(found.live) == 1 < len(node.then):
        sure = next(iter(found.live))
        dead = listed(answer for answer in node.then if answer not in found.live)
        message = (
            f"'{node.check}' was answered before, and is '{sure}' on every way here, never {dead}. "
            f"Lead straight to '{node.then[sure]}'."
        )
        yield problem(library.value("tree", tree.id, *where, "check"), ID, message, severity=SEVERITY)
