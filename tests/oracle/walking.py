"""A walk by the words of the formats page: which questions are asked, where it ends, what is open."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tests.oracle.believing import NO_ENGINE, Evidence, band_of
from tests.oracle.reading import Library, Table, admits, labour_rate
from tests.oracle.scoping import closure, hours, parts, parts_cost, repair_steps

if TYPE_CHECKING:
    from collections.abc import Mapping
    from fractions import Fraction

    from tests.oracle.scoping import Features

CANNOT_TELL = "?"


@dataclass(slots=True)
class Walk:
    """Where a walk came to."""

    tree: str
    path: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)  # checks in the order of the questions
    evidence: Evidence = field(default_factory=dict)
    outcome: tuple[str, ...] | None = None  # faults; None where the walk stopped before
    opened: set[str] = field(default_factory=set)  # D
    refused: bool = False  # 'cannot tell' where no `else` is given


def walk(
    library: Library,
    engine: Table | None,
    features: Features,
    tree: str,
    replies: Mapping[str, str | float],
) -> Walk:
    """Walk a tree in a known build; replies by check, '?' for cannot tell; stops where none is given."""
    state = Walk(tree)
    node = library.trees[tree]["start"]
    unknown: set[str] = set()
    while True:
        state.path.append(node)
        body = library.trees[state.tree]["nodes"][node]
        if "outcome" in body:
            faults = body["outcome"]
            state.outcome = (faults,) if isinstance(faults, str) else tuple(faults)
            break
        if "continue" in body:
            state.tree = body["continue"]
            node = library.trees[state.tree]["start"]
            continue
        check = body["check"]
        if _must_ask(library, features, check, state, unknown):
            if check not in replies:
                break
            state.asked.append(check)
            if replies[check] == CANNOT_TELL:
                if "else" not in body:
                    state.refused = True
                    break
                unknown.add(check)
            else:
                state.evidence[check] = replies[check]
        node = _next_node(library, engine or NO_ENGINE, body, state)
    _open(library, engine, features, state)
    return state


def _must_ask(library: Library, features: Features, check: str, state: Walk, unknown: set[str]) -> bool:
    applies = admits(library.checks[check].get("when"), features)
    return applies and check not in state.evidence and check not in unknown


def _next_node(library: Library, engine: Table, body: Table, state: Walk) -> str:
    check = body["check"]
    if check not in state.evidence:
        return str(body["else"])
    reply = state.evidence[check]
    answer = reply if isinstance(reply, str) else band_of(library, engine, check, reply)
    return str(body["then"][answer])


def _open(library: Library, engine: Table | None, features: Features, state: Walk) -> None:
    for check in state.evidence:
        if engine:
            state.opened |= closure(engine, features, library.checks[check].get("behind") or [])


def final_steps(library: Library, engine: Table, features: Features, state: Walk) -> set[str]:
    """Give closure(W) + D for the outcome of a walk."""
    wanted = repair_steps(library, engine, features, state.outcome or ())
    return closure(engine, features, wanted) | state.opened


@dataclass(frozen=True, slots=True)
class CloseUp:
    """The bill where what is open is only closed."""

    hours: Fraction
    parts_cost: Fraction
    cost: Fraction


def close_up(library: Library, engine: Table, features: Features, opened: set[str]) -> CloseUp:
    """Give hours, parts at single prices and money of the steps that checks opened."""
    labour = hours(engine, opened)
    goods = parts_cost(parts(engine, features, opened))
    return CloseUp(labour, goods, labour_rate(library) * labour + goods)
