"""Closed jobs counted inside each kind of database and over Parquet parts, against reading them one by one."""

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from diagtree.graph.serving import builds
from diagtree.jobs.counting import Counts, count
from diagtree.jobs.handing import Beginning, Unkept
from diagtree.jobs.listing import Wanted, jobs
from diagtree.jobs.parquet import count_parts, joined, parts, write
from diagtree.jobs.record import Entry, Job, Kind, now, signed
from diagtree.jobs.store import Store
from diagtree.model.library import Library
from diagtree.source.reader import read
from diagtree.walk.answers import read_finding

FOREIGN = Path(__file__).resolve().parents[1] / "foreign" / "pump"
JOBS = 150


@pytest.fixture(scope="module")
def library() -> Library:
    return read(str(FOREIGN)).library


def entry(kind: Kind, subject: str = "", value: str = "", note: str = "") -> Entry:
    phase = "walk" if kind in {"answered", "revised", "cannot-tell", "seen"} else ""
    return signed(Entry(kind, subject, value, note=note, phase=phase), now(), "kim")  # type: ignore[arg-type]


def fill(store: Store, library: Library, seed: int) -> None:
    """Jobs of all kinds: open, closed and reopened; answers taken back and revised; one fault found, none, several."""
    draw = Random(seed)
    engine = next(iter(library.engines.values()))
    tree = library.trees["noisy-pump"]
    faults = [name for name in tree.weights if name in library.faults]
    for _ in range(JOBS):
        listed = [entry("library", tree.id, "digest", note=draw.choice(["1", "2"]))]
        if draw.random() < 0.6:
            listed.append(entry("seen", "", draw.choice(builds(engine)).id))
        else:
            listed.append(entry("seen", "seal", draw.choice(["packed", "cartridge"])))
        for name in draw.sample(tree.checks, 3):
            check = library.checks[name]
            value = f"{draw.uniform(0, 6):.1f} {check.gauge.unit}" if check.gauge else draw.choice(check.answers).id
            one = entry("answered", name, value)
            listed.append(one)
            if draw.random() < 0.2:
                listed.append(entry("taken-back", one.mark))
            elif draw.random() < 0.2:
                listed.append(entry("revised", name, value))
            elif draw.random() < 0.1:
                listed.append(entry("cannot-tell", name))
        if draw.random() < 0.8:
            listed.append(entry("closed", value=draw.choice(["yes", "yes", "no", "unknown"])))
            listed += [entry("found", fault) for fault in draw.sample(faults, draw.choice([0, 1, 1, 1, 2]))]
            if draw.random() < 0.2:
                listed.append(entry("reopened"))
        job = store.begin(Beginning(tree.id, engine.id, tuple(listed)))
        assert isinstance(job, Job)


def one_by_one(store: Store, library: Library) -> Counter[tuple[object, ...]]:
    """The same in plain Python."""
    engine = next(iter(library.engines.values()))
    found: Counter[tuple[object, ...]] = Counter()
    for job in jobs(store, Wanted()):
        assert isinstance(job, Job)
        if not job.closing:
            continue
        told: dict[str, str] = {}
        seen: dict[str, str] = {}
        for one in job.replies:
            if one.kind == "seen":
                seen[one.subject] = one.value
            elif one.kind == "cannot-tell":
                told.pop(one.subject, None)
            else:
                finding = read_finding(library.checks[one.subject], engine, one.value)
                told[one.subject] = finding.answer  # type: ignore[union-attr]
        fits = tuple(
            build.id
            for build in builds(engine)
            if seen.get("", build.id) == build.id
            and all(build.features[name] == value for name, value in seen.items() if name)
        )
        revision = next(one.note for one in job.of("library"))
        faults = () if job.closing.held == "no" else tuple(sorted(job.closing.faults))
        answers = tuple(sorted(told.items()))
        if len(faults) == 1:
            found["known", fits, revision, faults] += 1
            for check, answer in answers:
                found["answered", fits, revision, faults[0], check, answer] += 1
        else:
            found["pattern", fits, revision, faults, answers] += 1
    return found


def told(counted: Counts) -> Counter[tuple[object, ...]]:
    found: Counter[tuple[object, ...]] = Counter()
    for known in counted.known:
        found["known", known.builds, known.revision, known.faults] += known.many
    for one in counted.answered:
        found["answered", one.builds, one.revision, one.fault, one.check, one.answer] += one.many
    for pattern in counted.patterns:
        found["pattern", pattern.builds, pattern.revision, pattern.faults, pattern.answers] += pattern.many
    return found


def test_counts_in_the_database_are_those_of_reading_one_by_one(opened: Callable[[], Store], library: Library) -> None:
    store = opened()
    fill(store, library, 5)
    expected = one_by_one(store, library)
    assert len({kind for kind, *_ in expected}) == 3
    counted = count(store, library)
    assert isinstance(counted, Counts)
    assert told(counted) == expected
    assert counted.unread == 0
    assert counted.jobs == sum(many for (kind, *_), many in expected.items() if kind != "answered")


def test_parquet_parts_give_the_same_counts(opened: Callable[[], Store], library: Library, tmp_path: Path) -> None:
    store = opened()
    folder = tmp_path / "it's parts"
    folder.mkdir()
    fill(store, library, 6)
    rows = write(store, folder / "a.parquet")
    assert not isinstance(rows, Unkept)
    assert rows >= JOBS // 2
    assert parts(folder) == (folder / "a.parquet",)
    assert told(count_parts((library, (folder / "a.parquet",)))) == one_by_one(store, library)
    # The same jobs twice, in two parts: twice the counts.
    (folder / "b.parquet").write_bytes((folder / "a.parquet").read_bytes())
    every = joined(count_parts((library, (one,))) for one in parts(folder))
    assert told(every) == Counter({key: 2 * many for key, many in one_by_one(store, library).items()})


def test_a_store_without_closed_jobs_counts_nothing(opened: Callable[[], Store], library: Library) -> None:
    assert count(opened(), library) == Counts((), (), (), 0)


def test_a_file_that_is_no_part_is_an_error_of_the_system(library: Library, tmp_path: Path) -> None:
    path = tmp_path / "wrong.parquet"
    path.write_text("no parquet")
    with pytest.raises(OSError, match="arquet"):
        count_parts((library, (path,)))


def test_answers_that_the_library_has_no_more_are_counted_as_unread(
    opened: Callable[[], Store], library: Library
) -> None:
    store = opened()
    engine = next(iter(library.engines))
    listed = (entry("answered", "noise-kind", "gone"), entry("closed", value="yes"), entry("found", "bearings-worn"))
    assert isinstance(store.begin(Beginning("noisy-pump", engine, listed)), Job)
    counted = count(store, library)
    assert isinstance(counted, Counts)
    assert (counted.unread, counted.answered, counted.jobs) == (1, (), 1)
