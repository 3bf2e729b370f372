"""The store's tables, one schema for SQLite and PostgreSQL, and the numbered steps that lead to it.

Nothing is ever overwritten: a row is written once. What holds now is read out of the rows, by `record` for one job and
by the views for many.
"""

from collections.abc import Callable, Iterator

from sqlalchemy import BigInteger, Column, Connection, Integer, MetaData, Table, Text

TABLES = MetaData()

VERSION = Table("diagtree_version", TABLES, Column("version", Integer, primary_key=True))

JOBS = Table(
    "diagtree_jobs",
    TABLES,
    Column("number", Text, primary_key=True),
    Column("ordinal", BigInteger, unique=True),  # of a number that is a plain figure: the next free one is above
    Column("tree", Text, nullable=False),
    Column("engine", Text, nullable=False),
)

ENTRIES = Table(
    "diagtree_entries",
    TABLES,
    Column("job", Text, primary_key=True),
    Column("place", Integer, primary_key=True),  # in the job's history, from 1 without a gap
    Column("mark", Text, nullable=False, unique=True),
    Column("kind", Text, nullable=False),
    Column("subject", Text, nullable=False),
    Column("value", Text, nullable=False),
    Column("typed", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("phase", Text, nullable=False),
    Column("answer", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
)

_VIEWS = MetaData()
STANDING = Table(
    "diagtree_standing",
    _VIEWS,
    Column("number", Text),
    Column("tree", Text),
    Column("engine", Text),
    Column("state", Text),
    Column("held", Text),
    Column("vehicle", Text),
    Column("outcome", Text),
    Column("faults", Text),
    Column("begun", Text),
    Column("changed", Text),
)

# A step's statements are never edited once it has been out: a new step is added behind it. They are written in what
# both databases read alike.
_FIRST = (
    "CREATE TABLE diagtree_version (version INTEGER PRIMARY KEY)",
    """CREATE TABLE diagtree_jobs (
        number TEXT PRIMARY KEY, ordinal BIGINT UNIQUE, tree TEXT NOT NULL, engine TEXT NOT NULL)""",
    """CREATE TABLE diagtree_entries (
        job TEXT NOT NULL REFERENCES diagtree_jobs (number), place INTEGER NOT NULL, mark TEXT NOT NULL UNIQUE,
        kind TEXT NOT NULL, subject TEXT NOT NULL, value TEXT NOT NULL, typed TEXT NOT NULL, note TEXT NOT NULL,
        phase TEXT NOT NULL, answer TEXT NOT NULL, at TEXT NOT NULL, who TEXT NOT NULL, PRIMARY KEY (job, place))""",
)


def _last(kind: str, column: str) -> str:
    """The value of a job's last entry of a kind."""
    own = f"e.job = j.number AND e.kind = '{kind}'"
    last = f"SELECT e.{column} FROM diagtree_entries e WHERE {own}"  # noqa: S608 -- of our own names alone
    return f"COALESCE(({last} ORDER BY e.place DESC LIMIT 1), '')"


_CLOSED = (
    "(SELECT e.place FROM diagtree_entries e WHERE e.job = j.number AND e.kind = 'closed' "
    "AND NOT EXISTS (SELECT 1 FROM diagtree_entries r WHERE r.job = e.job AND r.kind IN ('closed', 'reopened') "
    "AND r.place > e.place))"
)
# How jobs stand and what they showed, so that many are listed and counted inside the database.
_SECOND = (
    "CREATE INDEX diagtree_entries_by_kind ON diagtree_entries (kind, subject)",
    f"""CREATE VIEW diagtree_standing AS
        SELECT j.number AS number, j.tree AS tree, j.engine AS engine,
        CASE WHEN {_CLOSED} IS NULL THEN 'open' ELSE 'closed' END AS state,
        CASE WHEN {_CLOSED} IS NULL THEN '' ELSE {_last("closed", "value")} END AS held,
        {_last("vehicle", "value")} AS vehicle,
        {_last("outcome", "subject")} AS outcome,
        {_last("outcome", "value")} AS faults,
        (SELECT MIN(e.at) FROM diagtree_entries e WHERE e.job = j.number AND e.place = 1) AS begun,
        (SELECT e.at FROM diagtree_entries e WHERE e.job = j.number ORDER BY e.place DESC LIMIT 1) AS changed
        FROM diagtree_jobs j""",  # noqa: S608 -- our own names
    """CREATE VIEW diagtree_replies AS SELECT a.job AS job, a.place AS place, a.kind AS kind, a.subject AS subject,
        a.value AS value, a.answer AS answer, a.phase AS phase, a.at AS at FROM diagtree_entries a
        WHERE a.kind IN ('answered', 'revised', 'cannot-tell', 'seen') AND a.phase <> ''
        AND NOT EXISTS (SELECT 1 FROM diagtree_entries t
        WHERE t.job = a.job AND t.kind = 'taken-back' AND t.subject = a.mark)""",
    """CREATE VIEW diagtree_found AS SELECT f.job AS job, f.subject AS fault, c.value AS held, c.at AS at
        FROM diagtree_entries f JOIN diagtree_entries c ON c.job = f.job AND c.kind = 'closed' AND c.place < f.place
        WHERE f.kind = 'found' AND NOT EXISTS (SELECT 1 FROM diagtree_entries r WHERE r.job = f.job
        AND r.kind IN ('closed', 'reopened') AND r.place > c.place)""",
)

Step = Callable[[Connection], None]


def _statements(statements: tuple[str, ...]) -> Step:
    def step(connection: Connection) -> None:
        for statement in statements:
            connection.exec_driver_sql(statement)

    return step


MIGRATIONS: dict[int, Step] = {1: _statements(_FIRST), 2: _statements(_SECOND)}
NEWEST = max(MIGRATIONS)


def migrate(connection: Connection, version: int) -> Iterator[int]:
    """Bring a store from this version (0: empty) to the newest, inside the caller's transaction; the steps taken."""
    for number in sorted(MIGRATIONS):
        if number > version:
            MIGRATIONS[number](connection)
            connection.execute(VERSION.delete())
            connection.execute(VERSION.insert().values(version=number))
            yield number
