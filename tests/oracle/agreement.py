"""What it means that an answer of the program agrees with the plain reading: to 1e-6, line by line."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, Any

import pytest

from tests.oracle.believing import belief, conflict, residual
from tests.oracle.buying import cheapest, cost
from tests.oracle.reading import Library, Table, admits, only_engine
from tests.oracle.scoping import (
    Part,
    closure,
    complaints_of_plan,
    hours,
    offers,
    parts,
    parts_cost,
    remaining_builds,
    repair_steps,
)
from tests.oracle.walking import Walk, close_up, final_steps

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tests.oracle.program import Result
    from tests.oracle.scoping import Features


def close(value: float) -> Any:
    return pytest.approx(float(value), rel=1e-9, abs=1e-6)


def agree_on_scope(engine: Table, features: Features, steps: set[str], answer: Any) -> None:
    assert complaints_of_plan(engine, steps, [line["step"] for line in answer["steps"]]) == []
    for line in answer["steps"]:
        assert line["title"] == engine["work"][line["step"]]["title"]
        assert line["hours"] == close(float(hours(engine, [line["step"]])))
        assert line["why"]
    assert answer["hours"] == close(float(hours(engine, steps)))
    needed = parts(engine, features, steps)
    agree_on_parts(needed, answer)
    agree_on_buying(engine, features, needed, answer)


def agree_on_parts(needed: Mapping[str, Part], answer: Any) -> None:
    lines = {line["part"]: line for line in answer["parts"]}
    assert len(lines) == len(answer["parts"])
    assert set(lines) == set(needed)
    for part, want in needed.items():
        assert lines[part]["number"] == want.number
        assert lines[part]["quantity"] == close(float(want.quantity))
        assert lines[part]["price"] == close(float(want.price))
        assert lines[part]["single_use"] is want.single_use
    assert answer["parts_cost"] == close(float(parts_cost(needed)))


def agree_on_buying(engine: Table, features: Features, needed: Mapping[str, Part], answer: Any) -> None:
    best = cheapest(engine, features, needed)
    bought = sorted((line["number"], round(line["count"], 6)) for line in answer["buy"])
    assert bought in [sorted((code, round(float(count), 6)) for code, (count, _) in one.items()) for one in best]
    prices = {code: price for one in best for code, (_, price) in one.items()}
    assert all(line["price"] == close(float(prices[line["number"]])) for line in answer["buy"])
    assert answer["buy_cost"] == close(float(cost(best[0])))


def agree_on_offers(library: Library, engine: Table, features: Features, wanted: set[str], answer: Any) -> None:
    want = offers(library, engine, features, wanted)
    lines = {line["step"]: line for line in answer["offers"]}
    assert set(lines) == set(want)
    for step, offer in want.items():
        assert lines[step]["saving"] == close(float(offer.saving))
        assert lines[step]["adds"]["hours"] == close(float(offer.hours))
        assert lines[step]["adds"]["cost"] == close(float(offer.cost))


def agree_on_open(library: Library, engine: Table, known: Features, fault: str, result: Result) -> None:
    """Hold the listed features against the parts lists of the builds that are left."""
    answer = result.data()
    left = remaining_builds(engine, known).values()
    lists = []
    for features in left:
        steps = closure(engine, features, repair_steps(library, engine, features, [fault]))
        lists.append((features, steps, parts(engine, features, steps)))
    printed = {line["number"] for line in answer["parts"]}
    for (one, _, first), (two, _, second) in combinations(lists, 2):
        if not all(admits(library.faults[fault].get("when"), features) for features in (one, two)):
            continue
        assert {line.number for line in [*first.values(), *second.values()]} <= printed, result.argv
        if first != second:
            differ = {name for name in one if one[name] != two[name]}
            assert differ & set(answer["open"]), (result.argv, one, two)
    for feature, values in answer["open"].items():
        assert set(values) <= set(engine["features"][feature]["values"])
        assert any(
            one[feature] != two[feature] and (first, some) != (second, others)
            for (one, some, first), (two, others, second) in combinations(lists, 2)
        ), f"{result.argv}: {feature} changes nothing"
        if not library.faults[fault].get("when"):
            assert {features[feature] for features in left} <= set(values)


def agree_on_end(state: Walk, answer: Any) -> None:
    assert state.outcome is not None
    assert answer["path"] == state.path
    assert answer["outcome"]["node"] == state.path[-1]
    assert sorted(answer["outcome"]["faults"]) == sorted(state.outcome)
    assert set(state.evidence) <= set(answer["answers"]) <= set(state.asked)


def agree_on_belief(library: Library, features: Features, state: Walk, answer: Any) -> None:
    engine = only_engine(library)
    tree = library.trees[state.tree]
    want = belief(library, engine, tree, state.evidence, features)
    got = {line["fault"]: line["probability"] for line in answer["belief"]}
    assert set(got) <= set(want)
    for fault, probability in want.items():
        assert got.get(fault, 0.0) == close(probability)
    assert answer["conflict"] == close(conflict(library, engine, tree, state.evidence, features))


def agree_on_final_scope(library: Library, features: Features, state: Walk, answer: Any) -> None:
    engine = only_engine(library)
    steps = final_steps(library, engine, features, state)
    agree_on_scope(engine, features, steps, answer["scope"])
    chances = belief(library, engine, library.trees[state.tree], state.evidence, features)
    assert answer["residual"] == close(residual(library, engine, features, chances, steps))
    want = close_up(library, engine, features, state.opened)
    assert answer["scope"]["close_up"]["hours"] == close(float(want.hours))
    assert answer["scope"]["close_up"]["parts_cost"] == close(float(want.parts_cost))
    assert answer["scope"]["close_up"]["cost"] == close(float(want.cost))


def agree_on_advice(answer: Any, loss: float) -> None:
    """The best policy is no dearer than to stop, and no single look is better than it."""
    advice = answer["advice"]
    assert advice["cost"] <= loss + 1e-6
    assert advice["bound"] <= advice["cost"] + 1e-6
    best = max((check["net"] for check in answer["checks"]), default=0.0)
    if advice["exact"]:
        assert advice["cost"] <= loss - best + 1e-6
