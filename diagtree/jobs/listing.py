"""Many jobs: found and listed inside the database."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from sqlalchemy import ColumnElement, Connection, Select, case, exists, func, or_, select

from diagtree.jobs.handing import Unkept
from diagtree.jobs.record import HELD, Held, Job, State
from diagtree.jobs.schema import ENTRIES, JOBS, STANDING
from diagtree.jobs.store import Store, entry_of

_ESCAPE = "\\"
_AT_ONCE = 500  # jobs read together for an export


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which jobs are asked for. Empty: whichever."""

    text: str = ""  # in the number, the vehicle, a note, the tree, the engine, a writer's name; capitals do not count
    vehicle: str = ""
    tree: str = ""
    state: State | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """A job in a list."""

    number: str
    vehicle: str
    tree: str
    engine: str
    state: State
    held: Held | None  # of a closed one
    outcome: tuple[str, ...] | None  # its faults, where the walk came to one
    begun: str
    changed: str


@dataclass(frozen=True, slots=True)
class Listing:
    """Jobs, open ones first, the last touched first; and how many more there are."""

    lines: tuple[Line, ...]
    more: int


def listing(store: Store, wanted: Wanted, most: int) -> Listing | Unkept:
    """The jobs that are asked for, at most so many."""
    return store.reading(lambda connection: _listing(connection, wanted, most))


def _listing(connection: Connection, wanted: Wanted, most: int) -> Listing:
    found = _found(wanted)
    every = connection.execute(select(func.count()).select_from(found.subquery())).scalar() or 0
    closed_last = case((found.selected_columns.state == "open", 0), else_=1)
    rows = connection.execute(found.order_by(closed_last, STANDING.c.changed.desc(), STANDING.c.number).limit(most))
    lines = tuple(map(_line, rows))
    return Listing(lines, every - len(lines))


def jobs(store: Store, wanted: Wanted) -> Iterator[Job | Unkept]:
    """The jobs that are asked for with all of their history, by number; trouble ends them."""
    numbers = store.reading(lambda connection: _numbers(connection, wanted))
    if isinstance(numbers, Unkept):
        yield numbers
        return
    for at in range(0, len(numbers), _AT_ONCE):
        some = numbers[at : at + _AT_ONCE]
        found = store.reading(partial(_whole, numbers=some))
        if isinstance(found, Unkept):
            yield found
            return
        yield from found


def _numbers(connection: Connection, wanted: Wanted) -> list[str]:
    standing = _found(wanted).subquery()
    ordered = select(JOBS.c.number).join(standing, standing.c.number == JOBS.c.number)
    # Plain figures by size, then the workshop's own by letters.
    ordered = ordered.order_by(JOBS.c.ordinal.is_(None), JOBS.c.ordinal, JOBS.c.number)
    return list(connection.execute(ordered).scalars())


def _whole(connection: Connection, numbers: list[str]) -> list[Job]:
    rows = connection.execute(select(JOBS).where(JOBS.c.number.in_(numbers))).all()
    entries: dict[str, list[object]] = {number: [] for number in numbers}
    picked = select(ENTRIES).where(ENTRIES.c.job.in_(numbers)).order_by(ENTRIES.c.job, ENTRIES.c.place)
    for row in connection.execute(picked):
        entries[row.job].append(row)
    by_number = {
        row.number: Job(row.number, row.tree, row.engine, tuple(map(entry_of, entries[row.number]))) for row in rows
    }
    return [by_number[number] for number in numbers if number in by_number]


def _found(wanted: Wanted) -> Select[tuple[str, ...]]:
    query = select(STANDING)
    if wanted.state:
        query = query.where(STANDING.c.state == wanted.state)
    if wanted.tree:
        query = query.where(STANDING.c.tree == wanted.tree)
    if wanted.vehicle:
        query = query.where(_holds(STANDING.c.vehicle, wanted.vehicle))
    if wanted.text:
        said = exists().where(
            ENTRIES.c.job == STANDING.c.number,
            ENTRIES.c.kind.in_(("noted", "vehicle", "picture", "found", "declined")),
            or_(*(_holds(ENTRIES.c[name], wanted.text) for name in ("subject", "value", "note", "who"))),
        )
        own = (STANDING.c.number, STANDING.c.tree, STANDING.c.engine, STANDING.c.faults)
        query = query.where(or_(said, *(_holds(column, wanted.text) for column in own)))
    return query


def _holds(column: ColumnElement[str], text: str) -> ColumnElement[bool]:
    """Whether a text stands in a column, capitals or not. What is typed is no pattern."""
    plain = text.lower()
    for sign in (_ESCAPE, "%", "_"):
        plain = plain.replace(sign, _ESCAPE + sign)
    return func.lower(column).like(f"%{plain}%", escape=_ESCAPE)


def _line(row: object) -> Line:
    found = row._mapping  # type: ignore[attr-defined]  # noqa: SLF001 -- the public name of a row's columns
    closed = found["state"] == "closed"
    held: Held | None = next((word for word in HELD if word == found["held"]), None)
    return Line(
        number=found["number"],
        vehicle=found["vehicle"],
        tree=found["tree"],
        engine=found["engine"],
        state="closed" if closed else "open",
        held=held if closed else None,
        outcome=tuple(found["faults"].split()) if found["outcome"] else None,
        begun=found["begun"] or "",
        changed=found["changed"] or "",
    )
