"""Counts for `learn` over ten million closed jobs in Parquet parts, against the database's bare GROUP BY."""

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import duckdb

from diagtree.jobs.parquet import count_parts
from diagtree.model.library import Library
from diagtree.source.reader import read
from tests.bench.measure import Row, in_turn

JOBS = 10_000_000
PARTS = 10
ANSWERS = 4  # of each job
HIDDEN = 1000  # one job in so many has no fault written down
FOREIGN = Path(__file__).resolve().parents[1] / "foreign" / "pump"


def rows() -> Iterator[Row]:
    """Time and memory."""
    with tempfile.TemporaryDirectory(prefix="diagtree-bench-") as folder:
        library = read(str(FOREIGN)).library
        paths = [_part(Path(folder), library, at, JOBS // PARTS) for at in range(PARTS)]
        ours, bare = in_turn(lambda: _ours(library, paths), lambda: _bare(paths), runs=3)
        note = f"{JOBS:,} jobs, {JOBS * ANSWERS:,} answers: {ours:.1f} s"
        yield Row("counts for learn", "bare GROUP BY of the same parts", ours / bare, 2.0, 1.2, note)
        one, all_of_them = (_memory(found) for found in (paths[:1], paths))
        yield Row("memory for ten parts", "for one", all_of_them / one, 1.5, 1.1, f"{all_of_them / 1024:.0f} MB")


def _ours(library: Library, paths: list[Path]) -> int:
    return count_parts((library, tuple(paths))).jobs


def _bare(paths: list[Path]) -> object:
    """What anybody would ask for who wants a table's counts, of the same rows."""
    with duckdb.connect(config={"threads": 2}) as database:
        listed = ", ".join(f"'{path}'" for path in paths)
        asked = "SELECT tree, engine, features, revision, faults, check_id, answer, count(*)"
        query = f"{asked} FROM read_parquet([{listed}]) GROUP BY ALL"
        return database.execute(query).fetchall()


def _memory(paths: list[Path]) -> int:
    """The peak of a process that counts these parts, in kB."""
    code = (
        "import resource, sys; from pathlib import Path; from diagtree.source.reader import read;"
        "from tests.bench.counting import FOREIGN, _ours;"
        "_ours(read(str(FOREIGN)).library, [Path(one) for one in sys.argv[1:]]);"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    )
    ran = subprocess.run([sys.executable, "-c", code, *map(str, paths)], check=True, capture_output=True, text=True)
    return int(ran.stdout)


def _part(folder: Path, library: Library, part: int, jobs: int) -> Path:
    """A part of random closed jobs, written by the database itself."""
    tree = library.trees["noisy-pump"]
    engine = next(iter(library.engines.values()))
    faults = [name for name in tree.weights if name in library.faults]
    names = [name for name in tree.checks if library.checks[name].kind == "choice"][:ANSWERS]
    path = folder / f"part-{part}.parquet"

    def pick(words: list[str], salt: str) -> str:
        listed = ", ".join(f"'{word}'" for word in words)
        return f"list_value({listed})[1 + (hash(job || '{salt}{part}') % {len(words)})::INTEGER]"

    builds = [chr(30) + build for build in engine.builds]
    answers = " ".join(
        f"WHEN {at} THEN {pick([answer.id for answer in library.checks[name].answers], name)}"
        for at, name in enumerate(names)
    )
    checks = ", ".join(f"'{name}'" for name in names)
    with duckdb.connect() as database:
        database.execute(
            f"""COPY (SELECT (job + {part * jobs})::VARCHAR AS job, '{tree.id}' AS tree, '{engine.id}' AS engine,
                {pick(builds, "build")} AS features, '1' AS revision,
                CASE WHEN job % {HIDDEN} = 0 THEN '' ELSE {pick(faults, "fault")} END AS faults,
                list_value({checks})[a.nth + 1] AS check_id, CASE a.nth {answers} END AS answer,
                CASE WHEN a.nth = 0 THEN 1 ELSE 0 END AS one
                FROM range({jobs}) AS j(job), range({ANSWERS}) AS a(nth)) TO '{path}' (FORMAT parquet)"""  # noqa: S608
        )
    return path
