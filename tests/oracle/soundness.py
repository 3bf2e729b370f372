"""What a library must hold by the formats page, said again in loops: tables, numbers, trees, outcomes."""

from __future__ import annotations

from itertools import pairwise
from math import inf
from typing import TYPE_CHECKING

from tests.oracle.believing import NO_ENGINE, WORDS, bands
from tests.oracle.reading import Library, Table, admits, builds
from tests.oracle.scoping import admitted_number, amount, repair_steps

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from tests.oracle.scoping import Features


def complaints(library: Library) -> list[str]:
    """Say everything found wrong with a library; empty where it is sound."""
    found = []
    for engine in library.engines.values() or [NO_ENGINE]:
        found += list(_engine_complaints(library, engine))
        for tree in library.trees.values():
            found += list(_tree_complaints(library, engine, tree))
    for check in library.checks:
        found += list(_row_complaints(library, check))
    return found


def _engine_complaints(library: Library, engine: Table) -> Iterator[str]:
    for check, table in library.checks.items():
        if "reading" in table and not _tile(list(bands(library, engine, check).values())):
            yield f"{check}: the bands do not tile the line"
        if any(step not in engine["work"] for step in table.get("behind") or []):
            yield f"{check}: behind a step that is not there"
    if _cyclic({name: list(step.get("after") or []) for name, step in engine["work"].items()}):
        yield "after goes in a circle"
    for name, features in builds(engine).items():
        yield from _build_complaints(library, engine, name, features)
    for kit in engine.get("kits") or []:
        yield from _kit_complaints(engine, kit)


def _build_complaints(library: Library, engine: Table, name: str, features: Features) -> Iterator[str]:
    takers = [*engine["work"].values(), *library.checks.values()]
    for taker in takers:
        for part, quantity in (taker.get("takes") or {}).items():
            if admits(taker.get("when"), features):
                admitted_number(engine, part, features)  # raises where there is not exactly one
                amount(quantity, features)
    for fault, table in library.faults.items():
        left = repair_steps(library, engine, features, [fault]) if table["repair"] else {"none needed"}
        if engine["work"] and admits(table.get("when"), features) and not left:
            yield f"{name}: {fault} is left without a step"


def _kit_complaints(engine: Table, kit: Table) -> Iterator[str]:
    for part in kit["holds"]:
        for entry in engine["parts"][part]["numbers"]:
            missing = set(entry.get("when") or {}) - set(kit.get("when") or {})
            if missing:
                yield f"{kit['number']}: does not say {sorted(missing)}"


def _tile(limits: list[tuple[float, float]]) -> bool:
    ordered = sorted(limits)
    inner = all(one[1] == two[0] for one, two in pairwise(ordered))
    return ordered[0][0] == -inf and ordered[-1][1] == inf and inner


def _cyclic(arcs: Mapping[str, list[str]]) -> bool:
    left = dict(arcs)
    while True:
        free = [name for name, ends in left.items() if not any(end in left for end in ends)]
        if not free:
            return bool(left)
        for name in free:
            del left[name]


def _row_complaints(library: Library, check: str) -> Iterator[str]:
    table = library.checks[check]
    given = table.get("given") or {}
    for name, one in given.items():
        known = name == "default" or name in library.faults or name in library.trees
        if not known:
            yield f"{check}: a row for {name}, which is nothing"
        if isinstance(one, str):
            if len(table["answers"]) != 2:
                yield f"{check}: one number for {len(table['answers'])} answers"
            continue
        if set(one) != set(table["answers"]):
            yield f"{check}: the row of {name} has other answers"
        if len({value in WORDS for value in one.values()}) != 1:
            yield f"{check}: the row of {name} mixes words and numbers"
    if given and "default" not in given:
        yield f"{check}: no default"


def _tree_complaints(library: Library, engine: Table, tree: Table) -> Iterator[str]:
    nodes = tree["nodes"]
    arcs = {name: _ends(body) for name, body in nodes.items()}
    if _cyclic(arcs):
        yield f"{tree['tree']}: a circle"
        return
    reached = set()
    waiting = [tree["start"]]
    while waiting:
        name = waiting.pop()
        reached.add(name)
        waiting += arcs[name]
    yield from _forbidden(library, tree, tree["start"], {})
    if reached != set(nodes):
        yield f"{tree['tree']}: never reached {sorted(set(nodes) - reached)}"
    ends = [body.get("outcome") or body.get("continue") for body in nodes.values() if "check" not in body]
    outcomes = {fault for end in ends for fault in ([end] if isinstance(end, str) else end)}
    if outcomes != set(tree["weights"]):
        yield f"{tree['tree']}: outcomes and weights differ by {sorted(outcomes ^ set(tree['weights']))}"
    if "other" not in tree:
        yield f"{tree['tree']}: no weight for another cause"
    for name, features in builds(engine).items():
        for node in _reachable(library, tree, features, tree["start"]):
            yield from (f"{name}: {wrong}" for wrong in _node_complaints(library, nodes[node], features))


def _forbidden(library: Library, tree: Table, node: str, known: Mapping[str, str]) -> Iterator[str]:
    body = tree["nodes"][node]
    if "check" not in body:
        return
    for check, answers in (library.checks[body["check"]].get("never-after") or {}).items():
        if known.get(check) in answers:
            yield f"{tree['tree']}: {node} is never asked after {check} = {known[check]}"
    for answer, end in body["then"].items():
        yield from _forbidden(library, tree, end, {**known, body["check"]: answer})
    if "else" in body:
        yield from _forbidden(library, tree, body["else"], known)


def _ends(body: Table) -> list[str]:
    return [*body.get("then", {}).values(), *([body["else"]] if "else" in body else [])]


def _reachable(library: Library, tree: Table, features: Features, node: str) -> set[str]:
    body = tree["nodes"][node]
    found = {node}
    applies = "check" in body and admits(library.checks[body["check"]].get("when"), features)
    for end in _ends(body) if applies else [body["else"]] if "else" in body else []:
        found |= _reachable(library, tree, features, end)
    return found


def _node_complaints(library: Library, body: Table, features: Features) -> Iterator[str]:
    if "check" in body:
        table = library.checks[body["check"]]
        if set(body["then"]) != set(table["answers"]):
            yield f"{body['check']}: then has other answers"
        if "else" not in body and not admits(table.get("when"), features):
            yield f"{body['check']}: no else"
    if "outcome" in body:
        faults = [body["outcome"]] if isinstance(body["outcome"], str) else body["outcome"]
        if not any(admits(library.faults[fault].get("when"), features) for fault in faults):
            yield f"outcome {faults} is excluded"
    if "continue" in body and body["continue"] not in library.trees:
        yield f"no tree {body['continue']}"
