"""`python -m tests.bench.jobs_load [SECONDS] [--jobs ADDRESS]`: 32 writers on one store; is all there, and once?"""

import argparse
import multiprocessing
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from diagtree.jobs.address import Address
from diagtree.jobs.handing import Appended, Beginning
from diagtree.jobs.listing import Wanted, jobs
from diagtree.jobs.record import Entry, Job, now, signed
from diagtree.jobs.store import Store, open_store

WRITERS = 32
_ENTRIES = 30  # of a job, before its writer begins the next


def load(address: Address, seconds: float) -> tuple[int, int, int]:
    """Let them write for so long; how many entries were said to be kept, how many of them are not there, how many
    stand twice.
    """
    context = multiprocessing.get_context("fork")
    said: multiprocessing.SimpleQueue[list[str]] = context.SimpleQueue()
    writers = [context.Process(target=_write, args=(address, seconds, said)) for _ in range(WRITERS)]
    for writer in writers:
        writer.start()
    told = [mark for _ in writers for mark in said.get()]
    for writer in writers:
        writer.join()
    store = _open(address)
    kept: Counter[str] = Counter()
    for job in jobs(store, Wanted()):
        assert isinstance(job, Job), job
        kept.update(entry.mark for entry in job.entries)
    store.close()
    return len(told), len(set(told) - set(kept)), sum(many > 1 for many in kept.values())


def _open(address: Address) -> Store:
    store = open_store(address, making=True)
    assert isinstance(store, Store), store
    return store


def _write(address: Address, seconds: float, said: "multiprocessing.SimpleQueue[list[str]]") -> None:
    store = _open(address)
    until = time.monotonic() + seconds
    told: list[str] = []
    job: Job | None = None
    while time.monotonic() < until:
        draft = signed(Entry("answered", f"check-{len(told)}", "ok", phase="walk"), now(), "")
        if job is None or job.last >= _ENTRIES:
            begun = store.begin(Beginning("rattle", "v8", (draft,)))
            assert isinstance(begun, Job), begun
            job = begun
        else:
            done = store.append(job.number, job.last, [draft])
            assert isinstance(done, Appended), done
            job = done.job
        told.append(draft.mark)
    store.close()
    said.put(told)


def main(argv: list[str]) -> int:
    """Write, then print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.jobs_load", description=__doc__)
    parser.add_argument("seconds", nargs="?", type=float, default=60.0)
    parser.add_argument("--jobs", metavar="ADDRESS", help="a PostgreSQL server in place of a file in a new folder")
    args = parser.parse_args(argv)
    with tempfile.TemporaryDirectory(prefix="diagtree-") as folder:
        address = Address(args.jobs or str(Path(folder) / "jobs.db"))
        told, lost, doubled = load(address, args.seconds)
    what = "PostgreSQL" if address.server else "SQLite"
    came = f"{told} entries said to be kept, {lost} lost, {doubled} doubled"
    sys.stdout.write(f"{what}: {WRITERS} writers, {args.seconds:g} s, {came}\n")
    return int(bool(lost or doubled))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
