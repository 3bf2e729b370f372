"""A class on the same cars: whose turn it is, what they came to, and the sheet of results."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from statistics import fmean
from typing import Any

from diagtree.practice.review import Review

# A class list is small. More is a wrong file.
MOST_NAMES = 500


@dataclass(frozen=True, slots=True)
class Result:
    """One trainee's drill on one car. Money in the shop's currency."""

    name: str
    car: int  # its number in the set
    tree: str
    engine: str
    build: str
    seed: int
    level: str
    fault: str
    named: tuple[str, ...]
    mended: bool
    failed: bool  # did a check that an answer forbade
    checks: int
    hours: float  # of checks and access
    total: float  # all that the car came to
    regret: float


@dataclass(frozen=True, slots=True)
class Row:
    """One trainee over all cars done."""

    name: str
    cars: int
    mended: int
    failed: int
    hours: float  # mean a car
    total: float  # mean a car
    regret: float  # mean a car: the score, the less the better


def result(name: str, judged: Review, level: str) -> Result:
    """What is kept of a drill."""
    drill = judged.drill
    of = drill.car.case
    assert drill.ended is not None
    return Result(
        name=name,
        car=drill.car.number,
        tree=of.tree.id,
        engine=of.engine.id,
        build=of.build.id,
        seed=drill.car.seed,
        level=level,
        fault=drill.car.fault,
        named=drill.ended.named,
        mended=judged.mended,
        failed=judged.failed,
        checks=len(drill.taken),
        hours=drill.hours,
        total=judged.total,
        regret=judged.regret,
    )


def turns(names: Iterable[str], cars: int, done: Iterable[Result]) -> tuple[tuple[str, int], ...]:
    """(name, car) still to come: everybody the first car, then everybody the second, so that none waits long."""
    gone = {(one.name, one.car) for one in done}
    listed = tuple(names)
    return tuple((name, car) for car in range(1, cars + 1) for name in listed if (name, car) not in gone)


def sheet(names: Iterable[str], done: Iterable[Result]) -> tuple[Row, ...]:
    """A row for each name that has done a car: failed runs last, then by regret, then as listed."""
    kept = tuple(done)
    rows = [_row(name, [one for one in kept if one.name == name]) for name in names]
    return tuple(sorted((row for row in rows if row.cars), key=lambda row: (row.failed > 0, row.regret)))


def _row(name: str, own: list[Result]) -> Row:
    if not own:
        return Row(name, 0, 0, 0, 0.0, 0.0, 0.0)
    return Row(
        name,
        len(own),
        sum(one.mended for one in own),
        sum(one.failed for one in own),
        fmean(one.hours for one in own),
        fmean(one.total for one in own),
        fmean(one.regret for one in own),
    )


def names_in(text: str) -> tuple[str, ...] | str:
    """The names of a class list, one a line; else a sentence that says what is wrong."""
    lines = [line.strip() for line in text.splitlines()]
    names = [line for line in lines if line and not line.startswith("#")]
    if not names:
        return "The class list has no name: write one a line."
    if len(names) > MOST_NAMES:
        return f"The class list has {len(names)} names; {MOST_NAMES} are the most."
    for at, name in enumerate(names):
        if name in names[:at]:
            return f"'{name}' stands twice in the class list. Tell them apart."
        if not name.isprintable() or len(name) > 80:
            return f"Line {lines.index(name) + 1} of the class list is no name."
    return tuple(names)


def as_line(one: Result) -> str:
    """A result as a line of a file."""
    return json.dumps(asdict(one), ensure_ascii=False) + "\n"


def from_lines(text: str) -> tuple[Result, ...] | str:
    """The results of a file; else a sentence that names the line that is none."""
    found = []
    for at, line in enumerate(text.splitlines(), start=1):
        if line.strip():
            one = _read(line)
            if one is None:
                return f"Line {at} of the results is no result of a drill. Mend it, or name another file."
            found.append(one)
    return tuple(found)


def _none(word: str) -> None:
    """No figure is infinite."""
    raise ValueError(word)


def _read(line: str) -> Result | None:
    try:
        data = json.loads(line, parse_constant=_none)
    except (ValueError, RecursionError):
        return None
    if not isinstance(data, Mapping) or set(data) != set(Result.__dataclass_fields__):
        return None
    kinds: dict[str, type | tuple[type, ...]] = {"str": str, "int": int, "float": (int, float), "bool": bool}
    for name, field in Result.__dataclass_fields__.items():
        kind: Any = field.type
        wanted = kinds.get(getattr(kind, "__name__", ""), list)
        if not isinstance(data[name], wanted) or (wanted is int and isinstance(data[name], bool)):
            return None
    return Result(**{**data, "named": tuple(str(one) for one in data["named"])})
