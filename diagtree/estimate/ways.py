"""Every way that a visit can go from the start of a tree, with its chance.

Ways that come to the same node having taken the same, and whose answers no longer matter, are followed as one: a tree
whose paths join again does not explode. All ways at a node are followed at once, in arrays.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from diagtree.estimate.knowledge import Knowledge, Work
from diagtree.estimate.passage import Spot
from diagtree.model.engine import Build
from diagtree.model.tree import Onward, Outcome, Question
from diagtree.reason.tables import Floats

MOST = 100_000  # states: a second or two


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """An end that the visit can come to, with what was done on the way.

    Attributes:
        tree: the tree in which it ends.
        faults: of the outcome; None where the tree has no way on.
        work: what the checks asked take. Those that were answered before the start are not in it.
        chances: (causes of `tree`, builds): P(way, cause, build | answers so far).
    """

    tree: str
    faults: tuple[str, ...] | None
    work: Work
    chances: Floats


class _State(NamedTuple):
    facts: int  # answers that may still matter
    work: Work  # done so far


class _Flow(NamedTuple):
    """Ways that stand at one node."""

    states: list[_State]
    chances: Floats  # (states, causes, builds)

    def at(self, places: list[int]) -> "_Flow":
        return _Flow([self.states[place] for place in places], self.chances[places])


def ways(of: Knowledge, builds: Sequence[Build], chances: Floats, most: int = MOST) -> list[Way] | int:
    """The ways from the start of the tree.

    Args:
        of: the tree and what is known.
        builds: which the same checks apply to, and which none of the answers known rules out.
        chances: (causes, builds): P(cause, build | answers so far), over the causes of the tree.
        most: states after which it is given up.

    Returns:
        The ways, each of chance above 0; or how many states were met, where they are too many.
    """
    coming: dict[Spot, list[_Flow]] = {of.ground.start: [_Flow([_State(0, Work(0, 0, 0))], chances[np.newaxis])]}
    found: list[Way] = []
    met = 0
    for spot in reversed(of.ground.order):
        if spot not in coming:
            continue
        here = _joined(coming.pop(spot), of.keeps(spot))
        met += len(here.states)
        if met > most:
            return met
        for tree, node, flow in _leave(of, builds, spot, here):
            if isinstance(node, str):
                coming.setdefault((tree, node), []).append(flow)
            else:
                found.extend(_ends(tree, node, flow))
    return found


def _joined(flows: Sequence[_Flow], keeps: int) -> _Flow:
    """Ways that differ in nothing that matters any more, as one."""
    places: dict[_State, int] = {}
    at = [places.setdefault(_State(facts & keeps, work), len(places)) for flow in flows for facts, work in flow.states]
    every = np.concatenate([flow.chances for flow in flows]) if len(flows) > 1 else flows[0].chances
    if len(places) == len(at):
        return _Flow(list(places), every)
    chances = np.zeros((len(places), *every.shape[1:]))
    np.add.at(chances, at, every)
    return _Flow(list(places), chances)


def _ends(tree: str, faults: tuple[str, ...] | None, flow: _Flow) -> Iterator[Way]:
    for state, chances in zip(flow.states, flow.chances, strict=True):
        yield Way(tree, faults, state.work, chances)


# Where ways go: tree, node, ways. In place of the node stand the faults where they end, None where there is no way on.
_Leaving = Iterator[tuple[str, str | tuple[str, ...] | None, _Flow]]


def _leave(of: Knowledge, builds: Sequence[Build], spot: Spot, here: _Flow) -> _Leaving:
    """How a node is left."""
    node = of.ground.nodes[spot]
    match node:
        case Outcome(faults=faults):
            yield spot[0], faults, here
        case Onward(tree=tree):
            yield from _onward(of, builds, spot, tree, here)
        case Question():
            asked: list[int] = []
            passed: dict[str, list[int]] = {}
            decide = _decider(of, builds, node)
            for place, state in enumerate(here.states):
                target = decide(state.facts)
                (asked if target is None else passed.setdefault(target, [])).append(place)
            for target, places in passed.items():
                yield spot[0], target or None, here.at(places)
            if asked:
                yield from _ask(of, spot, node, here.at(asked) if passed else here)


def _onward(of: Knowledge, builds: Sequence[Build], spot: Spot, tree: str, here: _Flow) -> _Leaving:
    inside = np.array([of.afresh(tree, builds, state.facts) for state in here.states])
    mass = here.chances.sum(axis=1)  # (states, builds)
    left = np.asarray(
        inside.any(axis=1), dtype=np.bool_
    )  # (states, builds): whether the answers leave anything of that tree
    going = [place for place in range(len(mass)) if (mass[place] * left[place]).any()]
    if going:
        entered = _Flow(here.states, inside * mass[:, np.newaxis, :])
        yield tree, of.library.trees[tree].start, entered.at(going)
    stuck = [place for place in range(len(mass)) if (mass[place] * ~left[place]).any()]
    if stuck:
        yield spot[0], None, _Flow(here.states, here.chances * ~left[:, np.newaxis, :]).at(stuck)


def _decider(of: Knowledge, builds: Sequence[Build], node: Question) -> Callable[[int], str | None]:
    """Answers known -> where a question leads without being asked, by the rules of the walk.

    Empty where there is no way on, None where it is asked.
    """
    check = of.library.checks[node.check]
    if check.id in of.known:
        known = node.then[of.known[check.id]]
        return lambda _: known
    forbidden = any(of.known.get(name) in answers for name, answers in check.never_after.items())
    if forbidden or not check.when.admits(builds[0].features):
        return lambda _: node.otherwise
    forbidding = sum(of.bits(name, answers) for name, answers in check.never_after.items())
    told = {bit: node.then[one.id] for one, bit in zip(check.answers, of.answers[check.id], strict=True)}
    every = sum(told)
    untold = node.otherwise if check.id in of.unknown and node.otherwise else None

    def decide(facts: int) -> str | None:
        if facts & every:
            return told[facts & every]
        return node.otherwise if facts & forbidding else untold

    return decide


def _and(one: Work, other: Work) -> Work:
    return Work(one.early + other.early, one.late + other.late, one.special | other.special)


def _ask(of: Knowledge, spot: Spot, node: Question, here: _Flow) -> _Leaving:
    rows = of.rows(spot[0], node.check)
    more = of.work[node.check]
    after = [_and(state.work, more) for state in here.states]
    for at, answer in enumerate(of.library.checks[node.check].answers):
        bit = of.answers[node.check][at]
        chances = here.chances * rows[at]
        states = [_State(one.facts | bit, work) for one, work in zip(here.states, after, strict=True)]
        flow = _Flow(states, chances)
        live = np.nonzero(chances.any(axis=(1, 2)))[0].tolist()
        if live:
            yield spot[0], node.then[answer.id], flow if len(live) == len(states) else flow.at(live)
