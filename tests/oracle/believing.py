"""Belief, conflict, residual, loss and best scope by plain sums over faults and builds."""

from __future__ import annotations

from itertools import combinations
from math import erf, inf, log2, sqrt
from typing import TYPE_CHECKING, Any

from tests.oracle.reading import Library, Table, admits, builds, goodwill, number
from tests.oracle.scoping import amount, closure, repair_steps, work_cost

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from fractions import Fraction

    from tests.oracle.scoping import Features

WORDS = {
    "impossible": 0,
    "improbable": 15,
    "uncertain": 25,
    "fifty-fifty": 50,
    "expected": 75,
    "probable": 85,
    "certain": 100,
}
Evidence = dict[str, "str | float"]  # check: answer id, or a reading in the check's own unit
NO_ENGINE: Table = {"builds": {"only": {"share": "1"}}, "work": {}, "parts": {}}


def bands(library: Library, engine: Table, check: str) -> dict[str, tuple[float, float]]:
    """Give the band of each answer of a reading: from (inclusive), below; the engine's limits first."""
    moved = (engine.get("limits") or {}).get(check)
    table = moved or library.checks[check]["answers"]
    return {answer: (float(band.get("from", -inf)), float(band.get("below", inf))) for answer, band in table.items()}


def band_of(library: Library, engine: Table, check: str, reading: float) -> str:
    """Give the answer whose band holds a reading."""
    (answer,) = [name for name, (low, high) in bands(library, engine, check).items() if low <= reading < high]
    return answer


def band_shares(library: Library, engine: Table, check: str, reading: float) -> dict[str, float]:
    """Give the probability under N(reading, (U/2)^2) that the true value lies in each band."""
    u = float(library.checks[check]["reading"]["uncertainty"]) / 2

    def below(limit: float) -> float:
        return 0.5 * (1 + erf((limit - reading) / (u * sqrt(2))))

    return {answer: below(high) - below(low) for answer, (low, high) in bands(library, engine, check).items()}


def row(library: Library, check: str, fault: str) -> dict[str, float]:
    """Give P(answer | fault) of one check, slip included."""
    table = library.checks[check]
    answers = list(table["answers"])
    slip = float(table.get("slip", "0.01"))
    raw = _raw_row(library, table, fault)
    if raw is None:
        return dict.fromkeys(answers, 1 / len(answers))
    if isinstance(raw, str) and raw not in WORDS:
        raw = {answers[0]: raw, answers[1]: str(100 - float(raw))}
    if isinstance(raw, str):
        message = f"a word alone is no row: {raw}"
        raise TypeError(message)
    weights = {answer: float(WORDS.get(raw[answer], raw[answer])) for answer in answers}
    whole = sum(weights.values())
    return {answer: (1 - slip) * weights[answer] / whole + slip / len(answers) for answer in answers}


def _raw_row(library: Library, table: Table, fault: str) -> Any:
    given = table.get("given")
    if not given or fault == "other":
        return None
    if fault in given:
        return given[fault]
    kind = library.faults.get(fault, {}).get("kind-of")
    if kind in given:
        return given[kind]
    return given["default"]


def likelihood(library: Library, engine: Table, check: str, reply: str | float, fault: str) -> float:
    """Give P(reply | fault): an answer's own, or a reading's weighed over the bands."""
    answers = row(library, check, fault)
    if isinstance(reply, str):
        return answers[reply]
    shares = band_shares(library, engine, check, reply)
    return sum(shares[answer] * answers[answer] for answer in answers)


def candidates(library: Library, tree: Table, features: Features) -> dict[str, float]:
    """Give the weights of a tree in one build: faults that it admits, trees gone on to, `other`."""
    found = {}
    for name, weight in tree["weights"].items():
        if name in library.faults and not admits(library.faults[name].get("when"), features):
            continue
        found[name] = float(amount(weight, features))
    if number(tree.get("other", "0")):
        found["other"] = float(tree["other"])
    return found


def joint(
    library: Library, engine: Table | None, tree: Table, evidence: Evidence, known: Features | None = None
) -> dict[tuple[str, str], float]:
    """Give P(fault, build | evidence), keyed by fault and build."""
    raw = _unscaled(library, engine, tree, evidence, known)
    whole = sum(raw.values())
    return {key: value / whole for key, value in raw.items()}


def _unscaled(
    library: Library, engine: Table | None, tree: Table, evidence: Evidence, known: Features | None
) -> dict[tuple[str, str], float]:
    motor = engine or NO_ENGINE
    raw = {}
    for build, features in builds(motor).items():
        if any(features.get(name) != value for name, value in (known or {}).items()):
            continue
        if not all(admits(library.checks[check].get("when"), features) for check in evidence):
            continue
        for fault, weight in candidates(library, tree, features).items():
            value = float(motor["builds"][build]["share"]) * weight
            for check, reply in evidence.items():
                value *= likelihood(library, motor, check, reply, fault)
            raw[fault, build] = value
    return raw


def belief(
    library: Library, engine: Table | None, tree: Table, evidence: Evidence, known: Features | None = None
) -> dict[str, float]:
    """Give P(fault | evidence)."""
    total: dict[str, float] = {}
    for (fault, _), value in joint(library, engine, tree, evidence, known).items():
        total[fault] = total.get(fault, 0.0) + value
    return total


def conflict(
    library: Library, engine: Table | None, tree: Table, evidence: Evidence, known: Features | None = None
) -> float:
    """Give log2 of the product of P(each answer alone) over P(all answers together)."""
    before = sum(_unscaled(library, engine, tree, {}, known).values())
    alone = 1.0
    for check, reply in evidence.items():
        alone *= sum(_unscaled(library, engine, tree, {check: reply}, known).values()) / before
    return log2(alone / (sum(_unscaled(library, engine, tree, evidence, known).values()) / before))


def mended(library: Library, engine: Table, features: Features, fault: str, done: set[str]) -> bool:
    """Tell whether a fault's repair is inside the steps done; `other` and a tree never are."""
    return fault in library.faults and repair_steps(library, engine, features, [fault]) <= done


def residual(
    library: Library, engine: Table, features: Features, chances: Mapping[str, float], done: set[str]
) -> float:
    """Give how often the car comes back after the steps done."""
    return sum(chance for fault, chance in chances.items() if not mended(library, engine, features, fault, done))


def come_back(library: Library, engine: Table, features: Features, fault: str) -> Fraction:
    """Give what it costs to have left a fault: goodwill, what it destroys, and its repair afresh."""
    if fault == "other":
        return goodwill(library)
    again = closure(engine, features, repair_steps(library, engine, features, [fault]))
    missed = number(library.faults[fault].get("if-missed", "0"))
    return goodwill(library) + missed + work_cost(library, engine, features, again)


def mean_loss(
    library: Library,
    engine: Table,
    features: Features,
    chances: Mapping[str, float],
    *,
    wanted: Iterable[str],
    opened: set[str],
) -> float:
    """Give the sum over faults of P(f | E) * loss(W, f | D) in one build."""
    done = closure(engine, features, wanted)
    paid = float(work_cost(library, engine, features, done - opened))
    lost = 0.0
    for fault, chance in chances.items():
        if not mended(library, engine, features, fault, done | opened):
            lost += chance * float(come_back(library, engine, features, fault))
    return paid + lost


def best_scope(
    library: Library, engine: Table, features: Features, chances: Mapping[str, float], opened: set[str]
) -> tuple[float, set[str]]:
    """Give the least mean loss over unions of repairs of one or more faults, and its closure with what is open."""
    faults = [fault for fault in chances if fault in library.faults]
    best: tuple[float, set[str]] | None = None
    for size in range(1, len(faults) + 1):
        for chosen in combinations(faults, size):
            wanted = repair_steps(library, engine, features, chosen)
            loss = mean_loss(library, engine, features, chances, wanted=wanted, opened=opened)
            if best is None or loss < best[0] - 1e-12:
                best = loss, closure(engine, features, wanted) | opened
    if best is None:
        message = "no fault to repair"
        raise ValueError(message)
    return best
