"""Keeping jobs: what is handed over is on the disk when the call comes back. Nothing is raised; trouble is a value.

SQLite: a log written ahead, flushed to the disk at every commit (`synchronous` EXTRA, which also flushes the folder
where the file system has no such log). A writer takes the file before it reads, so that no two decide on the same
ground. PostgreSQL: the same by a lock on the job's row.
"""

import errno
import os
import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import URL, Connection, Engine, create_engine, event, func, inspect, make_url, select
from sqlalchemy.exc import SQLAlchemyError

from diagtree.jobs import merging, schema
from diagtree.jobs.address import Address
from diagtree.jobs.handing import Appended, Beginning, Unkept
from diagtree.jobs.record import Entry, Job
from diagtree.jobs.trouble import ForeignError, passing, unkept

_Found = TypeVar("_Found")

_PATIENCE = 60.0  # seconds for which a writer waits for others
_ANSWERING = 5  # seconds for a server to answer
_TRIES = 8
_LOCK = 0x64697461  # on a server: of what only one may do at a time, numbering and migrating
_MOST_DIGITS = 15


class Store:
    """An open store. Its methods are safe to call again after trouble: nothing is written twice."""

    def __init__(self, address: Address, engine: Engine) -> None:
        self.address = address
        self._engine = engine

    def begin(self, beginning: Beginning) -> Job | Unkept:
        """Keep a new job. Where its number is taken it gets the next free one: compare it."""
        return self._write(lambda connection: _begin(connection, beginning))

    def append(self, number: str, known: int, drafts: Sequence[Entry]) -> Appended | Unkept:
        """Add entries to a job.

        Args:
            number: of the job, which must exist.
            known: the last entry that the caller has seen.
            drafts: signed entries, without a place. Those that another bench forestalled are kept aside.
        """
        return self._write(lambda connection: _append(connection, number, known, drafts))

    def job(self, number: str) -> Job | Unkept | None:
        """A job; None where there is none of this number."""
        return self._read(lambda connection: _job(connection, number))

    def reading(self, work: Callable[[Connection], _Found]) -> _Found | Unkept:
        """Something read in one transaction."""
        return self._read(work)

    def close(self) -> None:
        """Let go of the file or the server."""
        self._engine.dispose()

    def _read(self, work: Callable[[Connection], _Found]) -> _Found | Unkept:
        return self._run(work, writing=False)

    def _write(self, work: Callable[[Connection], _Found]) -> _Found | Unkept:
        return self._run(work, writing=True)

    def _run(self, work: Callable[[Connection], _Found], *, writing: bool) -> _Found | Unkept:
        for left in reversed(range(_TRIES)):
            try:
                with _transaction(self._engine, writing=writing) as connection:
                    return work(connection)
            except (SQLAlchemyError, OSError) as error:
                if not (left and isinstance(error, SQLAlchemyError) and passing(error)):
                    return unkept(self.address, error)
        raise AssertionError


def open_store(where: Address, *, making: bool) -> Store | Unkept | None:
    """Open a store, bringing an older one up to date.

    Args:
        where: its address.
        making: whether one is made where there is none; else None is returned then.
    """
    if not where.server and not os.path.lexists(where.text) and not making:
        return None
    lying = not where.server and _lying(Path(where.text))
    if lying and not os.access(Path(where.text).absolute().parent, os.W_OK):
        return _opened(where, making=making, lying=True)
    found = _opened(where, making=making, lying=False)
    if isinstance(found, Unkept) and lying and not making:
        # A full disk takes not even the file by which readers and writers find one another.
        again = _opened(where, making=False, lying=True)
        return found if isinstance(again, Unkept) else again
    return found


def _opened(where: Address, *, making: bool, lying: bool) -> Store | Unkept | None:
    """Open a store; `lying`: as it lies there, for reading alone."""
    try:
        if where.ours and making:
            Path(where.text).parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        store = Store(where, _engine(where, lying=lying))
    except (SQLAlchemyError, OSError, ImportError, ValueError) as error:
        return unkept(where, error)
    try:
        ready = _up_to_date(store, making=making)
    except (SQLAlchemyError, OSError, ImportError, ForeignError) as error:
        store.close()
        return unkept(where, error)
    if not ready:
        store.close()
        return None
    return store


def _engine(where: Address, *, lying: bool) -> Engine:
    if where.server:
        return create_engine(
            make_url(where.text).set(drivername="postgresql+psycopg"),
            pool_size=1,
            max_overflow=0,
            pool_pre_ping=True,
            connect_args={"connect_timeout": _ANSWERING, "application_name": "diagtree"},
        )
    path = Path(where.text).absolute()
    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, "it is no file")
    url = URL.create("sqlite", database=str(path))
    if lying:
        url = URL.create("sqlite", database=f"{path.as_uri()}?immutable=1", query={"uri": "true"})
    engine = create_engine(url, pool_size=1, max_overflow=0, connect_args={"timeout": _PATIENCE})
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _start)
    return engine


def _lying(path: Path) -> bool:
    """Whether all of a store lies in its one file: no log was left behind that would have to be worked in first."""
    log = Path(f"{path}-wal")
    return path.is_file() and (not log.exists() or log.stat().st_size == 0)


def _prepare(connection: Any, _record: Any) -> None:
    """Set up a connection to a file. Our own BEGIN stands where the driver would put one of its own."""
    connection.isolation_level = None
    connection.create_function("lower", 1, _lower, deterministic=True)
    cursor = connection.cursor()
    cursor.execute("PRAGMA synchronous = EXTRA")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _lower(text: Any) -> Any:
    """SQLite's own knows no letters beyond ASCII."""
    return text.lower() if isinstance(text, str) else text


def _start(connection: Connection) -> None:
    writing = connection.get_execution_options().get("writing")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


@contextmanager
def _transaction(engine: Engine, *, writing: bool) -> Iterator[Connection]:
    with engine.connect().execution_options(writing=writing) as connection, connection.begin():
        yield connection


def _up_to_date(store: Store, *, making: bool) -> bool:
    """See that the store is ours and of the newest version, and bring an older one there; False where it is empty.

    Raises:
        ForeignError: it is another program's, or of a newer version.
    """
    engine = store._engine  # noqa: SLF001 -- the same module
    with _transaction(engine, writing=False) as connection:
        version = _version(connection, store.address)
    if version == schema.NEWEST:
        return True
    if version == 0 and not making:
        return False
    if not store.address.server:
        _log_ahead(engine)
    with _transaction(engine, writing=True) as connection:
        _one_at_a_time(connection)
        for _ in schema.migrate(connection, _version(connection, store.address)):
            pass
    return True


def _one_at_a_time(connection: Connection) -> None:
    """Wait for whoever else is numbering or migrating, until this transaction ends. A file is ours as it is."""
    if connection.dialect.name == "postgresql":
        connection.execute(select(func.pg_advisory_xact_lock(_LOCK)))


def _log_ahead(engine: Engine) -> None:
    """Write ahead to a log. A file says for good how it is written; where its system allows no log, or others are at
    it, it stays as it is: as safe, and slower.
    """
    raw = engine.raw_connection()
    try:
        for _ in range(_TRIES):
            try:
                raw.cursor().execute("PRAGMA journal_mode = WAL").close()
            except sqlite3.OperationalError:
                time.sleep(0.05)
            else:
                return
    finally:
        raw.close()


def _version(connection: Connection, where: Address) -> int:
    names = set(inspect(connection).get_table_names())
    if schema.VERSION.name not in names:
        foreign = names if not where.server else names & {table.name for table in schema.TABLES.sorted_tables}
        if foreign:
            message = f"{where.shown} is a database of another program. Nothing was changed. Name another with --jobs."
            raise ForeignError(message)
        return 0
    version: int = connection.execute(select(func.max(schema.VERSION.c.version))).scalar() or 0
    if version > schema.NEWEST:
        message = (
            f"The jobs in {where.shown} were kept by a newer diagtree (version {version} of the store, this one knows "
            f"{schema.NEWEST}). Nothing was changed. Install the newer one."
        )
        raise ForeignError(message)
    return version


def _begin(connection: Connection, beginning: Beginning) -> Job:
    _one_at_a_time(connection)
    first = beginning.entries[0].mark
    done = connection.execute(select(schema.ENTRIES.c.job).where(schema.ENTRIES.c.mark == first)).scalar()
    if done is not None:  # it was kept the first time, and only the word of it was lost
        return _existing(connection, done)
    taken = select(schema.JOBS.c.number).where(schema.JOBS.c.number == beginning.number)
    number = beginning.number
    if not number or connection.execute(taken).scalar() is not None:
        number = str((connection.execute(select(func.max(schema.JOBS.c.ordinal))).scalar() or 0) + 1)
    connection.execute(
        schema.JOBS.insert().values(
            number=number, ordinal=_ordinal(number), tree=beginning.tree, engine=beginning.engine
        )
    )
    _insert(connection, number, 0, beginning.entries)
    return _existing(connection, number)


def _ordinal(number: str) -> int | None:
    plain = number.isascii() and number.isdigit() and number == str(int(number)) and len(number) <= _MOST_DIGITS
    return int(number) if plain else None


def _append(connection: Connection, number: str, known: int, drafts: Sequence[Entry]) -> Appended:
    # A server reads no entries of others before the row is ours; a file is ours already.
    connection.execute(select(schema.JOBS.c.number).where(schema.JOBS.c.number == number).with_for_update())
    job = _existing(connection, number)
    marks = {entry.mark for entry in job.entries}
    new = [draft for draft in drafts if draft.mark not in marks]
    ours = {draft.mark for draft in drafts}
    meanwhile = tuple(entry for entry in job.entries if entry.number > known and entry.mark not in ours)
    written, aside = merging.merged(job, meanwhile, new)
    _insert(connection, number, job.last, written)
    return Appended(_existing(connection, number), meanwhile, aside)


def _insert(connection: Connection, number: str, last: int, entries: Iterable[Entry]) -> None:
    rows = [
        {
            "job": number, "place": last + at, "mark": entry.mark, "kind": entry.kind, "subject": entry.subject,
            "value": entry.value, "typed": entry.typed, "note": entry.note, "phase": entry.phase,
            "answer": entry.answer, "at": entry.at, "who": entry.who,
        }
        for at, entry in enumerate(entries, start=1)
    ]  # fmt: skip
    if rows:
        connection.execute(schema.ENTRIES.insert(), rows)


def _existing(connection: Connection, number: str) -> Job:
    job = _job(connection, number)
    assert job is not None
    return job


def _job(connection: Connection, number: str) -> Job | None:
    row = connection.execute(select(schema.JOBS).where(schema.JOBS.c.number == number)).one_or_none()
    if row is None:
        return None
    entries = schema.ENTRIES
    found = connection.execute(select(entries).where(entries.c.job == number).order_by(entries.c.place))
    return Job(row.number, row.tree, row.engine, tuple(map(entry_of, found)))


def entry_of(row: Any) -> Entry:
    """A row of the table as an entry."""
    found = Entry(row.kind, row.subject, row.value, row.typed, row.note, row.phase, row.answer)
    return replace(found, at=row.at, who=row.who, mark=row.mark, number=row.place)
