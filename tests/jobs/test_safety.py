"""A store through power cuts, kills, full disks, damage, and folders that take no writing."""

import os
import resource
import shutil
import signal
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from diagtree.jobs.address import Address
from diagtree.jobs.handing import Appended, Beginning, Unkept
from diagtree.jobs.keeping import JobKeeper, Terms
from diagtree.jobs.listing import Listing, Wanted, listing
from diagtree.jobs.record import Entry, Job, now, signed
from diagtree.jobs.store import Store, open_store
from tests.bench.jobs_kills import kills
from tests.jobs.walking import answers, opening, stored
from tests.walk.samples import NOISE, reply, start


def answer(value: str = "ok") -> Entry:
    return signed(Entry("answered", "oil-level", value, phase="walk"), now(), "")


def made(path: Path) -> tuple[Store, Job]:
    store = open_store(Address(str(path)), making=True)
    assert isinstance(store, Store), store
    job = store.begin(Beginning("rattle", "v8", (answer(),)))
    assert isinstance(job, Job), job
    return store, job


def refusal(path: Path, *, making: bool = True) -> str:
    found = open_store(Address(str(path)), making=making)
    assert isinstance(found, Unkept), found
    assert found.sentence.endswith(".")
    assert found.sentence.isprintable()
    return found.sentence


# Killed


def test_a_writer_killed_a_hundred_times_loses_nothing_it_said_was_kept(address: Address) -> None:
    """`python -m tests.bench.jobs_kills` does it a thousand times."""
    report = kills(address, 100 if not address.server else 40, seed=3)
    assert (report.lost, report.wrong) == ([], [])
    assert report.told > report.kills


# Power cuts


def test_a_store_copied_between_any_two_writes_opens_with_all_that_was_kept_till_then(tmp_path: Path) -> None:
    """What lies on the disk after each commit is what a power cut leaves. No connection is closed in between."""
    store, job = made(tmp_path / "jobs.db")
    told = [job.entries[0].mark]
    for at in range(25):
        draft = answer(str(at))
        done = store.append(job.number, job.last, [draft])
        assert isinstance(done, Appended)
        told.append(draft.mark)
        cut = tmp_path / f"cut-{at}"
        cut.mkdir()
        for name in ("jobs.db", "jobs.db-wal"):
            shutil.copyfile(tmp_path / name, cut / name)
        assert [one.mark for one in stored(Address(str(cut / "jobs.db")), job.number).entries] == told
    store.close()


def test_a_log_cut_short_loses_only_what_was_not_yet_said_to_be_kept(tmp_path: Path) -> None:
    """A write is cut at some byte: what was committed before that byte is there, and nothing by halves."""
    store, job = made(tmp_path / "jobs.db")
    log = tmp_path / "jobs.db-wal"
    ends = [(log.stat().st_size, 1)]
    for at in range(12):
        assert isinstance(store.append(job.number, job.last, [answer(str(at)), answer(str(at))]), Appended)
        ends.append((log.stat().st_size, 3 + 2 * at))
    whole = log.read_bytes()
    for at, size in enumerate(range(ends[0][0], len(whole), 1531)):
        cut = tmp_path / f"cut-{at}"
        cut.mkdir()
        shutil.copyfile(tmp_path / "jobs.db", cut / "jobs.db")
        (cut / "jobs.db-wal").write_bytes(whole[:size])
        expected = max(many for end, many in ends if end <= size)
        assert len(stored(Address(str(cut / "jobs.db")), job.number).entries) == expected
    store.close()


def test_every_commit_is_flushed_to_the_disk(tmp_path: Path) -> None:
    """Log written ahead, `synchronous` EXTRA: what SQLite's manual asks for against power cuts (from memory)."""
    store, _ = made(tmp_path / "jobs.db")
    found = store.reading(
        lambda connection: [
            connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in ("journal_mode", "synchronous")
        ]
    )
    assert found == ["wal", 3]
    store.close()


# Full disks


@contextmanager
def small_disk(path: Path, size: str) -> Iterator[None]:
    path.mkdir()
    ran = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size}", "none", str(path)], check=False, capture_output=True
    )
    if ran.returncode:
        pytest.skip("a small disk can be mounted only by root, where mounting is allowed")
    try:
        yield
    finally:
        subprocess.run(["umount", "-l", str(path)], check=True)


def walk_on(keeper: JobKeeper, texts: list[str]) -> list[str]:
    session = start(NOISE, "rattle")
    said = []
    for text in texts:
        after = reply(session, text)
        kept = keeper.keep(session, after, text)
        said.append(kept.say)
        session = kept.session
    return said


def test_on_a_full_disk_the_walk_goes_on_and_is_saved_when_it_can_be(tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    with small_disk(disk, "1m"):
        address = Address(str(disk / "jobs.db"))
        store, _ = made(disk / "jobs.db")
        store.close()
        filler = disk / "filler"
        with filler.open("wb", buffering=0) as file:
            while True:
                try:
                    file.write(b"x" * 4096)
                except OSError:
                    break
        keeper = JobKeeper(lambda: opening(address), start(NOISE, "rattle"), Terms(number="55"))
        session = start(NOISE, "rattle")
        one = reply(session, "ok")
        assert "The disk" in keeper.keep(session, one, "ok").say
        two = reply(one, "120")
        assert "Not saved yet" in keeper.keep(one, two, "120").say
        assert keeper.unsaved == 2
        filler.unlink()
        three = reply(two, "-")
        assert keeper.keep(two, three, "-").say == "This is job 55."
        keeper.close()
        assert answers(stored(address, "55").replies) == [
            ("oil-level", "ok"),
            ("pressure", "120 kPa"),
            ("stored-codes", "-"),
        ]


def test_on_a_full_disk_jobs_can_be_read(tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    with small_disk(disk, "300k"):
        store, job = made(disk / "jobs.db")
        store.close()
        with (disk / "filler").open("wb", buffering=0) as file, suppress(OSError):
            while True:
                file.write(b"x" * 4096)
        assert stored_as_it_lies(disk / "jobs.db", job.number) == job
        assert isinstance(open_store(Address(str(disk / "jobs.db")), making=True), Unkept)


def stored_as_it_lies(path: Path, number: str) -> Job:
    store = open_store(Address(str(path)), making=False)
    assert isinstance(store, Store), store
    job = store.job(number)
    store.close()
    assert isinstance(job, Job), job
    return job


def test_a_limit_on_the_size_of_files_is_told_and_nothing_is_by_halves(tmp_path: Path) -> None:
    """Without root: the system refuses to let the file grow."""
    store, job = made(tmp_path / "jobs.db")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    before = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    big = signed(Entry("noted", note="x" * 20_000), now(), "")
    try:
        size = (tmp_path / "jobs.db-wal").stat().st_size
        resource.setrlimit(resource.RLIMIT_FSIZE, (size + 4096, hard))
        refused = store.append(job.number, job.last, [answer("low"), big])
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, before)
    assert isinstance(refused, Unkept)
    assert "disk" in refused.sentence
    assert store.job(job.number) == job
    done = store.append(job.number, job.last, [answer("low"), big])
    assert isinstance(done, Appended)
    assert len(done.job.entries) == 3
    store.close()


# Files that are no store


@pytest.mark.parametrize(
    "content", [b"no database " * 100, b"SQLite format 3\x00" + b"\xff" * 4000], ids=["text", "torn"]
)
def test_what_is_no_store_is_refused_and_left_alone(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "jobs.db"
    path.write_bytes(content)
    said = refusal(path)
    assert "--jobs" in said
    assert path.read_bytes() == content
    assert [one.name for one in tmp_path.iterdir()] == ["jobs.db"]


def test_another_program_s_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "addresses.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE people (name TEXT)")
    other.close()
    content = path.read_bytes()
    assert "a database of another program" in refusal(path)
    assert path.read_bytes() == content


def test_a_damaged_store_is_told_and_never_written_over(tmp_path: Path) -> None:
    path = tmp_path / "jobs.db"
    store, job = made(path)
    for at in range(30):
        assert isinstance(store.append(job.number, job.last, [answer(str(at))]), Appended)
    store.close()
    data = bytearray(path.read_bytes())
    for at in range(4096, len(data)):
        data[at] = 0xA5
    path.write_bytes(bytes(data))
    found = open_store(Address(str(path)), making=True)
    if isinstance(found, Store):
        job_found = found.job(job.number)
        assert isinstance(job_found, Unkept)
        assert "damaged" in job_found.sentence
        found.close()
    assert path.read_bytes() == bytes(data)


def test_a_folder_in_place_of_the_file_and_a_folder_that_is_not_there_are_refused(tmp_path: Path) -> None:
    assert "it is no file" in refusal(tmp_path)
    assert "cannot be opened" in refusal(tmp_path / "nowhere" / "jobs.db")
    assert not (tmp_path / "nowhere").exists()


def test_a_file_may_be_called_anything(tmp_path: Path) -> None:
    store, job = made(tmp_path / "odd #1?a=b %41 name.db")
    store.close()
    assert stored(Address(str(tmp_path / "odd #1?a=b %41 name.db")), job.number) == job
    assert [one.name for one in tmp_path.iterdir()] == ["odd #1?a=b %41 name.db"]


def test_looking_makes_nothing(tmp_path: Path) -> None:
    assert open_store(Address(str(tmp_path / "jobs.db")), making=False) is None
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "empty.db").touch()
    assert open_store(Address(str(tmp_path / "empty.db")), making=False) is None
    assert (tmp_path / "empty.db").stat().st_size == 0


def test_our_own_folder_is_made_for_its_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "data" / "diagtree" / "jobs.db"
    store = open_store(Address(str(path), ours=True), making=True)
    assert isinstance(store, Store)
    store.close()
    assert path.parent.stat().st_mode & 0o077 == 0


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """The folder as others may see it: nobody may write to it, not even root."""
    if os.geteuid() == 0:
        bind = ["mount", "--bind", str(folder), str(folder)]
        if subprocess.run(bind, check=False, capture_output=True).returncode:
            pytest.skip("root writes everywhere, and mounting is not allowed here")
        try:
            subprocess.run(["mount", "-o", "remount,ro,bind", str(folder)], check=True)
            yield
        finally:
            subprocess.run(["umount", "-l", str(folder)], check=True)
    else:
        folder.chmod(0o500)
        yield
        folder.chmod(0o700)


def test_a_store_in_a_folder_that_takes_no_writing_is_read_and_refuses_to_be_written(tmp_path: Path) -> None:
    folder = tmp_path / "share"
    folder.mkdir()
    store, job = made(folder / "jobs.db")
    store.close()
    with read_only(folder):
        store = open_store(Address(str(folder / "jobs.db")), making=False)  # type: ignore[assignment]
        assert isinstance(store, Store), store
        assert store.job(job.number) == job
        lines = listing(store, Wanted(), 5)
        assert isinstance(lines, Listing)
        assert len(lines.lines) == 1
        refused = store.append(job.number, job.last, [answer()])
        assert isinstance(refused, Unkept)
        assert "may not be written to" in refused.sentence
        store.close()
        assert "cannot be opened" in refusal(folder / "other.db")


def test_a_server_that_is_not_there_is_told_without_its_password(tmp_path: Path) -> None:
    where = f"postgresql://kim:secret-word@/jobs?host={tmp_path}"
    found = open_store(Address(where), making=True)
    assert isinstance(found, Unkept)
    assert found.sentence.startswith(
        "The jobs in the PostgreSQL server of $DIAGTREE_JOBS are out of reach. It does not"
    )
    assert "secret-word" not in found.sentence
    assert "kim" not in found.sentence


def test_an_address_that_is_none_is_refused() -> None:
    found = open_store(Address("postgresql://kim@host:port:17/x"), making=True)
    assert isinstance(found, Unkept)
    assert "kim" not in found.sentence
