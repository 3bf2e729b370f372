"""The estimate by the words of the formats page: every path by itself, its chance, its hours, its cheapest parts.

Readings chosen where the page leaves room:

- A known check counts in hours, parts and access whether it is met or not; `--slow` stretches work steps, not checks.
- A visit reaches the strip-down where a check opens something, and the repair where the outcome's work is not all done
  by then; it is settled by the last of these that it reaches.
- A repair of a fault that the build cannot have is no work there.
- Where a tree has no way on, the visit ends without an outcome.
- An answer that an engine cannot show (`one-bank` where it has one bank) is none of the check's answers there: the rest
  of each row, and `slip`, are shared out over the others.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import numpy as np

from tests.oracle.believing import NO_ENGINE, Evidence, band_of, candidates, joint, likelihood, mended
from tests.oracle.buying import cheapest, cost
from tests.oracle.reading import Library, Table, admits, builds, labour_rate, mean_hours, number
from tests.oracle.scoping import Part, admitted_number, closure, repair_steps, total_takes

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from tests.oracle.scoping import Features

STAGES = ("diagnosis", "strip-down", "repair")


@dataclass(frozen=True, slots=True)
class Path:
    """One way through the tree in one build."""

    build: str
    chance: float
    faults: frozenset[str]
    residual: float
    work: tuple[tuple[Any, ...], ...]  # by stage, cumulative: the hours as written, stretched
    parts: tuple[Fraction, ...]  # by stage
    last: int  # the stage that settles it
    opened: bool

    def hours(self, stage: int = 2) -> Fraction:
        """Sum the mean hours up to a stage."""
        return sum((mean_of(one) for one in self.work[stage]), Fraction(0))


def mean_of(hours: tuple[Fraction, ...]) -> Fraction:
    """Give the mean of one or three points."""
    return hours[0] if len(hours) == 1 else (hours[0] + 4 * hours[1] + hours[2]) / 6


@dataclass(slots=True)
class _Bay:
    library: Library
    engine: Table
    features: Features
    known: Evidence
    slow: Fraction
    priced: dict[tuple[frozenset[str], frozenset[str]], Fraction] = field(default_factory=dict)
    met: list[tuple[float, frozenset[str], str, Evidence]] = field(default_factory=list)
    seen: dict[tuple[str, str | float, str], float] = field(default_factory=dict)

    def follow(self, tree: str, node: str, chance: float, evidence: Evidence) -> None:
        body = self.library.trees[tree]["nodes"][node]
        if "outcome" in body:
            faults = body["outcome"]
            self.met.append((chance, frozenset([faults] if isinstance(faults, str) else faults), tree, evidence))
        elif "continue" in body:
            inner = body["continue"]
            self.follow(inner, self.library.trees[inner]["start"], chance, evidence)
        else:
            self._ask(tree, body, chance, evidence)

    def _ask(self, tree: str, body: Table, chance: float, evidence: Evidence) -> None:
        check = body["check"]
        table = self.library.checks[check]
        if check in evidence:
            self.follow(tree, body["then"][self._answer(check, evidence)], chance, evidence)
        elif not admits(table.get("when"), self.features) or self._forbidden(table, evidence):
            if "else" in body:
                self.follow(tree, body["else"], chance, evidence)
            else:
                self.met.append((chance, frozenset(), tree, evidence))
        else:
            now = self.belief(tree, evidence)
            for answer in table["answers"]:
                share = sum(p * self._seen(check, answer, fault) for fault, p in now.items())
                if share > 0:
                    self.follow(tree, body["then"][answer], chance * share, {**evidence, check: answer})

    def belief(self, tree: str, evidence: Evidence) -> dict[str, float]:
        raw = candidates(self.library, self.library.trees[tree], self.features)
        for check, reply in evidence.items():
            raw = {fault: value * self._seen(check, reply, fault) for fault, value in raw.items()}
        whole = sum(raw.values())
        return {fault: value / whole for fault, value in raw.items()}

    def _seen(self, check: str, reply: str | float, fault: str) -> float:
        key = (check, reply, fault)
        if key not in self.seen:
            self.seen[key] = likelihood(self.library, self.engine, check, reply, fault)
        return self.seen[key]

    def _answer(self, check: str, evidence: Evidence) -> str:
        reply = evidence[check]
        return reply if isinstance(reply, str) else band_of(self.library, self.engine, check, reply)

    def _forbidden(self, table: Table, evidence: Evidence) -> bool:
        return any(
            other in evidence and self._answer(other, evidence) in answers
            for other, answers in (table.get("never-after") or {}).items()
        )


def paths(  # noqa: PLR0917  # as the page lists them
    library: Library, engine: Table | None, tree: str, known: Evidence, features: Features, slow: str = "1"
) -> Iterator[Path]:
    """Yield every path of every build that the known features and answers leave."""
    motor = engine or NO_ENGINE
    library = for_engine(library, motor)
    known = {check: told(library, check, reply) for check, reply in known.items()}
    start = library.trees[tree]["start"]
    shares: dict[str, float] = {}
    for (_, build), value in joint(library, motor, library.trees[tree], known, features).items():
        shares[build] = shares.get(build, 0.0) + value
    for build, share in shares.items():
        if share > 0:
            bay = _Bay(library, motor, builds(motor)[build], known, Fraction(slow))
            bay.follow(tree, start, share, dict(known))
            yield from (_path(bay, build, met) for met in bay.met)


def for_engine(library: Library, engine: Table) -> Library:
    """Give the library without the answer `one-bank` where the engine has one bank."""
    cams = (engine.get("timing") or {}).get("cams")
    if not cams or len({cam["bank"] for cam in cams.values()}) > 1:
        return library
    checks = {name: _without_one_bank(table) if "offsets" in table else table for name, table in library.checks.items()}
    return replace(library, checks=checks)


def _without_one_bank(table: Table) -> Table:
    def rest(row: Any) -> Any:
        return {answer: value for answer, value in row.items() if answer != "one-bank"}

    given = {fault: rest(row) for fault, row in (table.get("given") or {}).items()}
    return {**table, "answers": rest(table["answers"]), "given": given}


def told(library: Library, check: str, reply: str | float) -> str | float:
    """Give the answer that stored codes such as `P0016+P0018` are: the first of which each group has one."""
    table = library.checks[check]
    if table.get("codes") != "true" or not isinstance(reply, str) or reply in table["answers"]:
        return reply
    stored = set(reply.split("+"))
    answers: dict[str, list[list[str]]] = table["answers"]
    return next(name for name, groups in answers.items() if all(stored & set(group) for group in groups))


def _path(bay: _Bay, build: str, met: tuple[float, frozenset[str], str, Evidence]) -> Path:
    chance, faults, end, evidence = met
    library, engine, features = bay.library, bay.engine, bay.features
    behind = {check: closure(engine, features, library.checks[check].get("behind") or []) for check in evidence}
    opened = set().union(*behind.values()) if behind else set()
    here = [fault for fault in faults if admits(library.faults[fault].get("when"), features)]
    done = closure(engine, features, repair_steps(library, engine, features, here)) | opened
    early = [check for check in evidence if not behind[check]]
    stages = [(early, set()), (list(evidence), opened), (list(evidence), done)]
    now = bay.belief(end, evidence)
    return Path(
        build,
        chance,
        faults,
        sum(p for fault, p in now.items() if not mended(library, engine, features, fault, done)),
        tuple(tuple(_hours(bay, checks, steps)) for checks, steps in stages),
        tuple(_parts(bay, checks, steps) for checks, steps in stages),
        2 if done - opened else 1 if opened else 0,
        bool(opened),
    )


def _hours(bay: _Bay, checks: Iterable[str], steps: Iterable[str]) -> Iterator[tuple[Any, ...]]:
    for check in sorted(checks):
        yield _points(bay.library.checks[check]["hours"], Fraction(1))
    for step in sorted(steps):
        yield _points(bay.engine["work"][step]["hours"], bay.slow)


def _points(hours: str | list[str], slow: Fraction) -> tuple[Fraction, ...]:
    if isinstance(hours, str):
        return (number(hours) * slow,)
    assert mean_hours(hours) >= 0
    return tuple(number(one) * slow for one in hours)


def _parts(bay: _Bay, checks: Iterable[str], steps: Iterable[str]) -> Fraction:
    taking = frozenset(check for check in checks if bay.library.checks[check].get("takes"))
    key = taking, frozenset(steps)
    if key not in bay.priced:
        bay.priced[key] = _cheapest_parts(bay, *key)
    return bay.priced[key]


def _cheapest_parts(bay: _Bay, checks: Iterable[str], steps: Iterable[str]) -> Fraction:
    takers = [*(bay.library.checks[check] for check in checks), *(bay.engine["work"][step] for step in steps)]
    needed = {}
    for part, quantity in total_takes(takers, bay.features).items():
        code, price = admitted_number(bay.engine, part, bay.features)
        needed[part] = Part(code, quantity, price, single_use=False)
    return cost(cheapest(bay.engine, bay.features, needed)[0])


def outcomes(
    library: Library, every: Iterable[Path], engine: Table | None = None
) -> dict[frozenset[str], dict[str, float]]:
    """Sum the paths of each set of faults: probability, and mean hours, parts, cost and residual.

    A fault that none of the builds of these paths can have is not named.
    """
    rate = float(labour_rate(library))
    found: dict[frozenset[str], dict[str, float]] = {}
    listed = list(every)
    motor = engine or next(iter(library.engines.values()), NO_ENGINE)
    left = [builds(motor)[name] for name in {path.build for path in listed}]
    cannot = {fault for fault, body in library.faults.items() if not any(admits(body.get("when"), one) for one in left)}
    for path in listed:
        named = (path.faults - cannot) or path.faults
        one = found.setdefault(named, dict.fromkeys(("probability", "hours", "parts", "cost", "residual"), 0.0))
        hours, parts = float(path.hours()), float(path.parts[2])
        one["probability"] += path.chance
        for name, value in (("hours", hours), ("parts", parts), ("cost", rate * hours + parts)):
            one[name] += path.chance * value
        one["residual"] += path.chance * path.residual
    for one in found.values():
        for name in ("hours", "parts", "cost", "residual"):
            one[name] /= one["probability"]
    return found


def draws(every: list[Path], stage: int, many: int, seed: int) -> tuple[Any, Any]:
    """Draw hours and parts of many visits: (hours, parts), arrays of length `many`."""
    random = np.random.default_rng(seed)
    chances = np.array([path.chance for path in every])
    counts = random.multinomial(many, chances / chances.sum())
    hours = np.repeat([0.0] * len(every), counts)
    parts = np.repeat([float(path.parts[stage]) for path in every], counts)
    end = 0
    for path, count in zip(every, counts, strict=True):
        start, end = end, end + count
        for points in path.work[stage]:
            hours[start:end] += _drawn(random, [float(one) for one in points], count)
    return hours, parts


def _drawn(random: np.random.Generator, points: list[float], count: int) -> Any:
    if len(points) == 1 or points[0] == points[2]:
        return points[0]
    low, likely, high = points
    alpha = 1 + 4 * (likely - low) / (high - low)
    return low + (high - low) * random.beta(alpha, 6 - alpha, count)
