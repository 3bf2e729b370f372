"""Closed jobs as Parquet parts, and counts over such parts where they lie. The only importer of DuckDB."""

import csv
import glob
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, text

from diagtree.jobs.counting import PAIR, PART, Counts, counts, flat, merged, questions
from diagtree.jobs.handing import Unkept
from diagtree.jobs.store import Store
from diagtree.model.library import Library

if TYPE_CHECKING:
    import duckdb

COLUMNS = ("job", "tree", "engine", "features", "revision", "faults", "check_id", "answer", "one")
_AT_ONCE = 10_000  # rows held at a time


def write(store: Store, path: Path) -> int | Unkept:
    """Write the closed jobs of a store as one Parquet file, a row for each answer (`counting.flat`).

    Args:
        store: an open one.
        path: a file in a folder that can be written to.

    Returns:
        How many rows; or why the store can't be read.

    Raises:
        OSError: the file can't be written.
    """

    def put(connection: Connection) -> int:
        rows = connection.execution_options(stream_results=True).execute(text(flat(connection.dialect.name)))
        return _write((tuple(row) for row in rows.yield_per(_AT_ONCE)), path)

    return store.reading(put)


def _write(rows: Iterable[tuple[Any, ...]], path: Path) -> int:
    """By way of a file of plain text: the one form in which rows come in one after another and are not held."""
    import duckdb

    many = 0
    with tempfile.TemporaryDirectory(prefix="diagtree-") as folder:
        plain = Path(folder) / "rows.csv"
        with plain.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, quoting=csv.QUOTE_ALL)
            writer.writerow(COLUMNS)
            for row in rows:
                writer.writerow(row)
                many += 1
        with duckdb.connect() as database:
            source = f"read_csv({_quoted(plain)}, header = true, all_varchar = true, nullstr = '\\N')"
            try:
                listed = f"SELECT * REPLACE (one::INTEGER AS one) FROM {source}"  # noqa: S608
                database.execute(f"COPY ({listed}) TO {_quoted(path)} (FORMAT parquet, COMPRESSION zstd)")
            except duckdb.Error as error:
                raise OSError(str(error).splitlines()[0]) from error
    return many


def parts(path: Path) -> tuple[Path, ...]:
    """The Parquet parts that a path names: a file, every `*.parquet` of a folder, or a pattern."""
    if path.is_dir():
        return tuple(sorted(path.glob("*.parquet")))
    if path.exists():
        return (path,)
    return tuple(Path(one) for one in sorted(glob.glob(str(path))))  # noqa: PTH207 -- a whole path


def count_parts(given: tuple[Library, tuple[Path, ...]]) -> Counts:
    """The closed jobs of some parts, together: all rows of a job must stand in the same part.

    Raises:
        OSError: it can't be read, or is no part of ours.
    """
    library, paths = given
    import duckdb

    with duckdb.connect(config={"threads": 2}) as database:
        # Read over and over rather than held: memory stays that of the groups.
        listed = ", ".join(map(_quoted, paths))
        # Two shops may both have a job 12: each part's own.
        columns = ", ".join(("concat(filename, ' ', job) AS job", *COLUMNS[1:]))
        source = f"(SELECT {columns} FROM read_parquet([{listed}], filename = true))"  # noqa: S608
        try:
            return counts(library, lambda question: _rows(database, question), questions("duckdb", source))
        except duckdb.Error as error:
            raise OSError(str(error).splitlines()[0]) from error


def joined(every: Iterable[Counts]) -> Counts:
    """Counts of several parts as one."""
    kept = tuple(every)
    return Counts(
        merged(one for part in kept for one in part.known),
        merged(one for part in kept for one in part.answered),
        merged(one for part in kept for one in part.patterns),
        sum(part.unread for part in kept),
    )


def _rows(database: "duckdb.DuckDBPyConnection", question: str) -> Iterator[tuple[Any, ...]]:
    cursor = database.execute(question)
    while found := cursor.fetchmany(_AT_ONCE):
        yield from found


def _quoted(path: Path) -> str:
    return "'" + str(path).replace("'", "''") + "'"


__all__ = ["COLUMNS", "PAIR", "PART", "count_parts", "joined", "parts", "write"]
