"""Closed jobs counted where they lie: never one by one here, however many there are.

The same two questions are put to SQLite, to PostgreSQL and to DuckDB over Parquet parts. What comes back is as large
as what differs among the jobs, not as their number.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields, replace
from functools import cache
from typing import Any, TypeAlias, TypeVar

from sqlalchemy import Connection, text

from diagtree.graph.serving import builds
from diagtree.jobs.handing import Unkept
from diagtree.jobs.store import Store
from diagtree.model.library import Library
from diagtree.walk.answers import Refused, read_finding

# Between the parts of a text that is put together in the database. No text of a job can hold them.
PART, PAIR = "\x1f", "\x1e"
_KIND = {"sqlite": ("group_concat", "char"), "postgresql": ("string_agg", "chr"), "duckdb": ("string_agg", "chr")}

Row: TypeAlias = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Known:
    """Jobs whose faults are known, at least in part, and that are alike but for their answers."""

    tree: str
    engine: str
    builds: tuple[str, ...]
    revision: str
    faults: tuple[str, ...]
    many: int


@dataclass(frozen=True, slots=True)
class Answered:
    """How many jobs of one known fault had an answer."""

    tree: str
    engine: str
    builds: tuple[str, ...]
    revision: str
    fault: str
    check: str
    answer: str
    many: int


@dataclass(frozen=True, slots=True)
class Pattern:
    """Jobs whose fault is not known, or only in part, and that are alike in all their answers."""

    tree: str
    engine: str
    builds: tuple[str, ...]
    revision: str
    faults: tuple[str, ...]  # one of these; () where nobody wrote it down
    answers: tuple[tuple[str, str], ...]
    many: int


_Kind = TypeVar("_Kind", Known, Answered, Pattern)


@dataclass(frozen=True, slots=True)
class Counts:
    """What the closed jobs come to."""

    known: tuple[Known, ...]
    answered: tuple[Answered, ...]
    patterns: tuple[Pattern, ...]
    unread: int  # answers that today's library can't read

    @property
    def jobs(self) -> int:
        """How many closed jobs there are."""
        return sum(one.many for one in self.known) + sum(one.many for one in self.patterns)


def flat(kind: str) -> str:
    """The closed jobs of a store as rows (job, tree, engine, features, revision, faults, check, answer, one).

    A row for each answer that holds; a job without any has one with an empty check. `one` is 1 in one row of each job,
    else 0, so that jobs are counted without being told apart. `features` and `faults` are lists in one text. A fault
    that was found counts unless its repair did not hold.
    """
    together, sign = _KIND[kind]
    part, pair = (f"{sign}({ord(one)})" for one in (PART, PAIR))
    return f"""
        WITH closed AS MATERIALIZED (
            SELECT number, tree, engine, held, COALESCE((
                SELECT e.note FROM diagtree_entries e WHERE e.job = number AND e.kind = 'library'
                ORDER BY e.place DESC LIMIT 1), '') AS revision
            FROM diagtree_standing WHERE state = 'closed'),
        last AS MATERIALIZED (
            SELECT job, kind, subject, value FROM (
                SELECT job, kind, subject, value, ROW_NUMBER() OVER (
                    PARTITION BY job, CASE WHEN kind = 'seen' THEN 1 ELSE 0 END, subject ORDER BY place DESC) AS nth
                FROM diagtree_replies) AS replies
            WHERE nth = 1 AND kind <> 'cannot-tell'),
        seen AS (
            SELECT job, {together}(subject || {pair} || value, {part}) AS features FROM last WHERE kind = 'seen'
            GROUP BY job),
        found AS (SELECT job, {together}(fault, {part}) AS faults FROM diagtree_found GROUP BY job)
        SELECT s.number AS job, s.tree AS tree, s.engine AS engine, COALESCE(seen.features, '') AS features,
            s.revision AS revision,
            CASE WHEN s.held = 'no' THEN '' ELSE COALESCE(found.faults, '') END AS faults,
            COALESCE(last.subject, '') AS check_id, COALESCE(last.value, '') AS answer,
            CASE WHEN ROW_NUMBER() OVER (PARTITION BY s.number ORDER BY last.subject) = 1 THEN 1 ELSE 0 END AS one
        FROM closed AS s
        LEFT JOIN seen ON seen.job = s.number
        LEFT JOIN found ON found.job = s.number
        LEFT JOIN last ON last.job = s.number AND last.kind <> 'seen'"""  # noqa: S608 -- of our own names alone


def questions(kind: str, source: str) -> tuple[str, str]:
    """What is asked of rows as `flat` gives them: how often each answer; the patterns of jobs of no one known fault.

    The first is asked of all jobs, though only those of one known fault are heeded: to sort them out inside the
    database takes longer than to group them all.

    Args:
        kind: of database.
        source: a table, or a query in brackets.
    """
    together, sign = _KIND[kind]
    part, pair = (f"{sign}({ord(mark)})" for mark in (PART, PAIR))
    alike = "tree, engine, features, revision, faults"
    known = f"faults <> '' AND faults NOT LIKE '%' || {part} || '%'"
    first = f"""
        SELECT {alike}, check_id, answer, COUNT(*), SUM(one) FROM {source} AS r
        GROUP BY {alike}, check_id, answer"""  # noqa: S608
    second = f"""
        SELECT {alike}, answers, COUNT(*) FROM (
            SELECT job, {alike}, {together}(CASE WHEN check_id = '' THEN '' ELSE check_id || {pair} || answer END,
                {part}) AS answers
            FROM {source} AS r WHERE NOT ({known}) GROUP BY job, {alike}) AS whole
        GROUP BY {alike}, answers"""  # noqa: S608
    return first, second


def count(store: Store, library: Library) -> Counts | Unkept:
    """The closed jobs of a store."""

    def ask(connection: Connection) -> Counts:
        kind = connection.dialect.name
        source = f"({flat(kind)})"
        return counts(library, lambda question: connection.execute(text(question)), questions(kind, source))

    return store.reading(ask)


def counts(library: Library, ask: Callable[[str], Iterable[Any]], asked: tuple[str, str]) -> Counts:
    """What the answers to `questions` come to under today's library.

    Args:
        library: tells which answer a reading was, and which builds have the features seen.
        ask: puts a question to the database.
        asked: the two questions.
    """
    read = _Reader(library)
    known, answered, unread = [], [], 0
    for tree, engine, features, revision, fault, check, value, many, jobs in ask(asked[0]):
        if not fault or PART in fault:
            continue  # a pattern
        builds_seen = read.builds(engine, features)
        if jobs:
            known.append(Known(tree, engine, builds_seen, revision, (fault,), int(jobs)))
        answer = read.answer(engine, check, value) if check else ""
        if answer:
            answered.append(Answered(tree, engine, builds_seen, revision, fault, check, answer, many))
        elif check:
            unread += many
    patterns = []
    for tree, engine, features, revision, faults, values, many in ask(asked[1]):
        pairs = [tuple(one.split(PAIR)) for one in _parts(values)]
        told = [(check, read.answer(engine, check, value)) for check, value in pairs]
        unread += many * sum(not answer for _, answer in told)
        kept = tuple(sorted((check, answer) for check, answer in told if answer))
        patterns.append(Pattern(tree, engine, read.builds(engine, features), revision, _parts(faults), kept, many))
    return Counts(merged(known), merged(answered), merged(patterns), unread)


def merged(every: Iterable[_Kind]) -> tuple[_Kind, ...]:
    """What is alike as one, in an order of its own: a database gives its rows in any."""
    many: dict[_Kind, int] = {}
    for one in every:
        alike = replace(one, many=0)
        many[alike] = many.get(alike, 0) + one.many
    kept = [replace(alike, many=count) for alike, count in many.items()]
    return tuple(sorted(kept, key=lambda one: tuple(getattr(one, field.name) for field in fields(one))))


def _parts(together: str) -> tuple[str, ...]:
    return tuple(sorted(one for one in together.split(PART) if one))


class _Reader:
    """Texts of jobs as today's library reads them, each once."""

    def __init__(self, library: Library) -> None:
        self._library = library
        self.answer = cache(self._answer)
        self.builds = cache(self._builds)

    def _answer(self, engine: str, check: str, value: str) -> str:
        """The answer that a kept text stands for; '' where the library can't read it."""
        from diagtree.graph.serving import engines

        known = self._library.checks.get(check)
        on = next((one for one in engines(self._library) if one.id == engine or not engine), None)
        if known is None or on is None:
            return ""
        found = read_finding(known, on, value)
        return "" if isinstance(found, Refused) else found.answer

    def _builds(self, engine: str, features: str) -> tuple[str, ...]:
        """The builds that have what was seen; () where the engine is not known any more."""
        from diagtree.graph.serving import engines

        on = next((one for one in engines(self._library) if one.id == engine or not engine), None)
        if on is None:
            return ()
        seen = dict(one.split(PAIR) for one in _parts(features))
        named = seen.pop("", "")
        return tuple(
            build.id
            for build in builds(on)
            if named in {"", build.id} and all(build.features.get(name) == value for name, value in seen.items())
        )
