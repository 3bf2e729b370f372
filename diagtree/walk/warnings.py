"""The cautions that stand before a question or at an outcome."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagtree.graph.labour import closure, labour
from diagtree.model.engine import Step
from diagtree.model.fault import LEVELS, Caution
from diagtree.walk.route import Route
from diagtree.walk.session import Session


@dataclass(frozen=True, slots=True)
class Standing:
    """A caution, and the places that name it: the tree, the node. Each is acknowledged on its own."""

    caution: Caution
    keys: frozenset[tuple[str, str]]  # (place, caution id): what `acknowledge` takes
    here: bool  # whether the node names it, or its work; else it stands throughout a tree


def standing(session: Session) -> tuple[Standing, ...]:
    """The cautions that hold where the walk stands, `stop` first, each once.

    They are those of the check asked and of the work that it newly opens, at an outcome its own and its faults', and
    those of the trees walked through.
    """
    places: dict[str, set[tuple[str, str]]] = {}
    for place, name in _named(session):
        places.setdefault(name, set()).add((place, name))
    known = session.case.library.cautions
    node = _place(session)
    found = [
        Standing(known[name], frozenset(keys), (node, name) in keys) for name, keys in places.items() if name in known
    ]
    holding = [one for one in found if any(one.caution.when.admits(build.features) for build in session.known.builds)]
    return tuple(sorted(holding, key=lambda one: LEVELS.index(one.caution.level)))


def due(session: Session) -> tuple[Standing, ...]:
    """The `stop` cautions that were not acknowledged yet in each place that names them. The question waits for them."""
    return tuple(
        one for one in standing(session) if one.caution.level == "stop" and not one.keys <= session.acknowledged
    )


def opening(session: Session) -> tuple[Step, ...]:
    """The work steps that the check asked now lies behind and that are not open yet, in the engine's order.

    Where builds are still open, the steps of each of them.
    """
    # A screen asks this many times for one question. A route is made anew with each reply, and never changes.
    route = session.route
    kept = _OPENING.get(id(route))
    if kept is None or kept[0] is not route:
        if len(_OPENING) > _MOST_KEPT:
            _OPENING.clear()
        kept = _OPENING[id(route)] = (route, _opening(session))
    return kept[1]


_OPENING: dict[int, tuple[Route, tuple[Step, ...]]] = {}
_MOST_KEPT = 16


def _opening(session: Session) -> tuple[Step, ...]:
    check = session.check
    if not check or not check.behind:
        return ()
    names: set[str] = set()
    for build in session.known.builds:
        if check.when.admits(build.features):
            work = labour(session.case.engine, build)
            done = closure(work, (step for steps in session.opened.values() for step in steps))
            names |= closure(work, check.behind) - done
    return tuple(step for name, step in session.case.engine.work.items() if name in names)


def _place(session: Session) -> str:
    """The node's place; a tree's is its id, which has no stroke."""
    return f"{session.here.tree.id}/{session.here.node.id}"


def _named(session: Session) -> Iterator[tuple[str, str]]:
    """(place, caution id), the nearest first."""
    place = _place(session)
    if session.check:
        yield from ((place, name) for name in session.check.cautions)
        yield from ((place, name) for step in opening(session) for name in step.cautions)
    if session.outcome:
        yield from ((place, name) for name in session.outcome.cautions)
        faults = session.case.library.faults
        yield from (
            (place, name) for fault in session.outcome.faults if fault in faults for name in faults[fault].cautions
        )
    for tree in dict.fromkeys(stop.tree.id for stop in session.route.stops):
        yield from ((tree, name) for name in session.case.library.trees[tree].cautions)
