"""What is kept stays kept: on each kind of store, one writer and many."""

import multiprocessing
from collections import Counter
from collections.abc import Callable

import pytest
from sqlalchemy import inspect, select

from diagtree.jobs import schema
from diagtree.jobs.address import Address
from diagtree.jobs.handing import Appended, Beginning, Unkept
from diagtree.jobs.listing import Wanted, jobs, listing
from diagtree.jobs.record import Entry, Job, Kind, now, signed
from diagtree.jobs.store import Store, open_store

Opened = Callable[[], Store]


def entry(kind: Kind, subject: str = "", value: str = "", note: str = "", who: str = "kim") -> Entry:
    phase = "walk" if kind in {"answered", "cannot-tell", "seen"} else ""
    return signed(Entry(kind, subject, value, note=note, phase=phase), now(), who)  # type: ignore[arg-type]


def begun(store: Store, *entries: Entry, number: str = "", tree: str = "rattle") -> Job:
    job = store.begin(Beginning(tree, "v8", entries or (entry("answered", "oil", "ok"),), number))
    assert isinstance(job, Job), job
    return job


def appended(store: Store, job: Job, *entries: Entry, known: int | None = None) -> Appended:
    done = store.append(job.number, job.last if known is None else known, entries)
    assert isinstance(done, Appended), done
    return done


def test_what_was_kept_is_read_again_by_another(opened: Opened) -> None:
    first = entry("answered", "oil-level", "ok")
    job = begun(opened(), first, entry("vehicle", value="Grüner Kombi \U0001f697 'x' \"y\""))
    appended(opened(), job, entry("authorised", "diagnosis", "95.0", note="the owner"))
    found = opened().job(job.number)
    assert isinstance(found, Job)
    assert [one.number for one in found.entries] == [1, 2, 3]
    assert found.entries[0].mark == first.mark
    assert found.entries[0].at == first.at
    assert found.vehicle == "Grüner Kombi \U0001f697 'x' \"y\""
    assert found.authorised["diagnosis"].amount == 95.0


def test_numbers_go_on_from_the_highest_and_the_workshop_s_own_stand_beside(opened: Opened) -> None:
    store = opened()
    numbers = [begun(store, entry("answered", "a", "b"), number=own).number for own in ("", "", "A-7", "40", "", "007")]
    assert numbers == ["1", "2", "A-7", "40", "41", "007"]
    assert begun(store, number="").number == "42"


def test_a_number_that_is_taken_gives_the_next_free_one(opened: Opened) -> None:
    store = opened()
    assert begun(store, number="7").number == "7"
    assert begun(store, number="7").number == "8"


def test_no_job_of_a_number_is_none(opened: Opened) -> None:
    assert opened().job("12") is None


def test_writing_again_after_a_lost_word_doubles_nothing(opened: Opened) -> None:
    """A commit may have gone through though its answer never came."""
    store = opened()
    beginning = Beginning("rattle", "v8", (entry("answered", "oil", "ok"),))
    one, two = store.begin(beginning), store.begin(beginning)
    assert isinstance(one, Job)
    assert one == two
    drafts = (entry("answered", "noise", "top"), entry("noted", note="x"))
    appended(store, one, *drafts)
    done = appended(store, one, *drafts)
    assert [e.kind for e in done.job.entries] == ["answered", "answered", "noted"]
    assert done.meanwhile == ()


def test_an_answer_taken_back_stays_in_the_history(opened: Opened) -> None:
    store = opened()
    job = begun(store)
    job = appended(store, job, entry("taken-back", job.entries[0].mark)).job
    assert [one.kind for one in job.entries] == ["answered", "taken-back"]
    assert job.replies == ()


def test_a_second_bench_is_told_and_its_answer_stands_aside(opened: Opened) -> None:
    one, two = opened(), opened()
    job = begun(one)
    appended(one, job, entry("answered", "noise", "top", who="ann"))
    done = appended(
        two, job, entry("answered", "noise", "below", who="bob"), entry("answered", "soak", "long", who="bob")
    )
    assert [(e.subject, e.value, e.who) for e in done.meanwhile] == [("noise", "top", "ann")]
    assert [(e.subject, e.value) for e in done.aside] == [("noise", "below")]
    assert {e.subject: e.value for e in done.job.replies} == {"oil": "ok", "noise": "top", "soak": "long"}
    assert [e.kind for e in done.job.entries] == ["answered", "answered", "aside", "answered"]


def test_taking_back_what_another_bench_took_back_is_nothing(opened: Opened) -> None:
    one, two = opened(), opened()
    job = begun(one)
    mark = job.entries[0].mark
    appended(one, job, entry("taken-back", mark))
    done = appended(two, job, entry("taken-back", mark), entry("answered", "oil", "low"))
    assert [e.kind for e in done.job.entries] == ["answered", "taken-back", "answered"]
    assert [e.value for e in done.job.replies] == ["low"]


def test_the_list_has_open_jobs_first_and_finds_text(opened: Opened) -> None:
    store = opened()
    plain = begun(store, entry("answered", "a", "b"), entry("vehicle", value="Blue Van 100%"))
    closed = begun(store, entry("answered", "a", "b"), entry("vehicle", value="ÖL van"), tree="oil")
    appended(store, closed, entry("closed", value="yes"), entry("found", "tensioner"))
    noted = begun(store, entry("noted", note="left bank ticks"))

    def found(**wanted: str) -> list[str]:
        lines = listing(store, Wanted(**wanted), 10)  # type: ignore[arg-type]
        assert not isinstance(lines, Unkept), lines
        return [line.number for line in lines.lines]

    assert found() == [noted.number, plain.number, closed.number]
    assert found(vehicle="van") == [plain.number, closed.number]
    assert found(vehicle="öl") == [closed.number]
    assert found(text="100%") == [plain.number]
    assert found(text="100_") == []
    assert found(text="TICKS") == [noted.number]
    assert found(text="tensioner") == [closed.number]
    assert found(tree="oil") == [closed.number]
    assert found(state="open") == [noted.number, plain.number]
    few = listing(store, Wanted(), 2)
    assert not isinstance(few, Unkept)
    assert few.more == 1
    assert [job.number for job in jobs(store, Wanted()) if isinstance(job, Job)] == ["1", "2", "3"]


def test_closing_counts_until_it_is_reopened(opened: Opened) -> None:
    store = opened()
    job = begun(store)
    job = appended(store, job, entry("closed", value="no"), entry("found", "chain")).job
    assert job.closing
    assert (job.closing.faults, job.closing.held) == (("chain",), "no")
    job = appended(store, job, entry("reopened")).job
    assert job.closing is None
    job = appended(store, job, entry("closed", value="yes"), entry("found", "guide")).job
    assert job.closing
    assert (job.closing.faults, job.closing.held) == (("guide",), "yes")
    rows = store.reading(lambda connection: connection.exec_driver_sql("SELECT fault, held FROM diagtree_found").all())
    assert [tuple(row) for row in rows] == [("guide", "yes")]  # type: ignore[union-attr]


# Versions


def test_the_tables_are_what_the_program_reads(opened: Opened) -> None:
    """The steps are written out, the program's tables too: they must agree."""
    store = opened()

    def columns(connection: object) -> dict[str, set[str]]:
        found = inspect(connection)
        names = [*schema.TABLES.tables, schema.STANDING.name]
        return {name: {column["name"] for column in found.get_columns(name)} for name in names}

    expected = {name: {column.name for column in table.columns} for name, table in schema.TABLES.tables.items()}
    expected[schema.STANDING.name] = {column.name for column in schema.STANDING.columns}
    assert store.reading(columns) == expected


def _stop_at(monkeypatch: pytest.MonkeyPatch, version: int) -> None:
    monkeypatch.setattr(schema, "MIGRATIONS", {n: step for n, step in schema.MIGRATIONS.items() if n <= version})
    monkeypatch.setattr(schema, "NEWEST", version)


def test_an_older_store_is_brought_up_to_date_with_its_jobs(address: Address, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as older:
        _stop_at(older, 1)
        store = open_store(address, making=True)
        assert isinstance(store, Store)
        job = begun(store, entry("answered", "oil", "ok"), entry("closed", value="yes"), entry("found", "chain"))
        store.close()
    store = open_store(address, making=False)
    assert isinstance(store, Store)
    assert store.job(job.number) == job
    lines = listing(store, Wanted(state="closed"), 5)
    assert not isinstance(lines, Unkept)
    assert [line.number for line in lines.lines] == [job.number]
    version = store.reading(lambda connection: connection.execute(select(schema.VERSION.c.version)).scalars().all())
    assert version == [schema.NEWEST]
    store.close()


def test_a_step_that_fails_leaves_the_store_as_it_was(address: Address, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as older:
        _stop_at(older, 1)
        store = open_store(address, making=True)
        assert isinstance(store, Store)
        job = begun(store)
        with monkeypatch.context() as broken:
            steps = schema._statements(("CREATE TABLE diagtree_more (a TEXT)", "CREATE NONSENSE"))
            broken.setattr(schema, "MIGRATIONS", {**schema.MIGRATIONS, 2: steps})
            broken.setattr(schema, "NEWEST", 2)
            assert isinstance(open_store(address, making=False), Unkept)
        names = store.reading(lambda connection: inspect(connection).get_table_names())
        assert "diagtree_more" not in names  # type: ignore[operator]
        assert store.job(job.number) == job
        store.close()


def test_a_newer_store_is_refused(address: Address, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as newer:
        newer.setattr(schema, "MIGRATIONS", {**schema.MIGRATIONS, 99: lambda _connection: None})
        newer.setattr(schema, "NEWEST", 99)
        store = open_store(address, making=True)
        assert isinstance(store, Store)
        store.close()
    refused = open_store(address, making=True)
    assert isinstance(refused, Unkept)
    assert "newer diagtree (version 99 of the store, this one knows" in refused.sentence
    assert "postgres@" not in refused.sentence


# Many writers

WRITERS, EACH = 32, 6


def _write(address: Address, shared: str, at: int, said: "multiprocessing.SimpleQueue[list[tuple[str, str]]]") -> None:
    store = open_store(address, making=True)
    assert isinstance(store, Store), store
    done: list[tuple[str, str]] = []
    own = begun(store, entry("answered", "own", str(at)))
    done.append((own.number, own.entries[0].mark))
    for turn in range(EACH):
        draft = entry("answered", f"check-{at}-{turn}", "ok")
        job = own if turn % 2 else Job(shared, "", "", ())
        own = appended(store, job, draft).job if turn % 2 else own
        if not turn % 2:
            appended(store, job, draft, known=0)
        done.append((job.number, draft.mark))
    store.close()
    said.put(done)


def test_thirty_two_writers_lose_nothing_and_double_nothing(address: Address, opened: Opened) -> None:
    """Each begins a job of its own and adds to it and to one that all share; half of them make the store as well."""
    shared = begun(opened(), number="shared").number
    context = multiprocessing.get_context("fork")
    said: multiprocessing.SimpleQueue[list[tuple[str, str]]] = context.SimpleQueue()
    writers = [context.Process(target=_write, args=(address, shared, at, said)) for at in range(WRITERS)]
    for writer in writers:
        writer.start()
    told = [one for _ in writers for one in said.get()]
    for writer in writers:
        writer.join(60)
        assert writer.exitcode == 0
    store = opened()
    kept: list[tuple[str, str]] = []
    for job in jobs(store, Wanted()):
        assert isinstance(job, Job)
        assert [one.number for one in job.entries] == list(range(1, len(job.entries) + 1))
        kept += [(job.number, one.mark) for one in job.entries]
    assert max(Counter(mark for _, mark in kept).values()) == 1
    assert set(told) <= set(kept)
    assert len(kept) == len(told) + 1  # the entry with which the shared job began
    assert len({number for number, _ in kept}) == WRITERS + 1
