"""`python -m tests.bench.jobs_kills [TIMES] [--jobs ADDRESS]`: kill a writer of jobs, time and again; is all there?"""

import argparse
import os
import random
import select
import signal
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

from diagtree.jobs.address import Address
from diagtree.jobs.handing import Appended, Beginning
from diagtree.jobs.record import Entry, Job, now, signed
from diagtree.jobs.store import Store, open_store

_MARK = 24  # characters
_EACH = 25  # kills in one job
_LONGEST = 0.02  # seconds from a writer's first word to its end


@dataclass(slots=True)
class Report:
    """What came of it."""

    kills: int = 0
    told: int = 0  # answers that a writer said were kept
    lost: list[str] = field(default_factory=list)  # of those, the ones that are not there
    wrong: list[str] = field(default_factory=list)  # what else is not as it should be


def kills(address: Address, times: int, seed: int) -> Report:
    """Kill a writer this often, at a moment of chance, and look each time whether the store holds what it said."""
    chance = random.Random(seed)
    report = Report()
    number, told = "", set[str]()
    for turn in range(times):
        if turn % _EACH == 0:
            number, told = _job(address), set()
        new = _killed(address, number, chance.random() * _LONGEST)
        told |= new
        report.kills += 1
        report.told += len(new)
        _look(address, number, told, report, thorough=turn % _EACH == _EACH - 1 or turn == times - 1)
        if report.lost or report.wrong:
            break
    return report


def _job(address: Address) -> str:
    store = _open(address)
    job = store.begin(Beginning("rattle", "v8", (_answer(),)))
    assert isinstance(job, Job), job
    store.close()
    return job.number


def _open(address: Address) -> Store:
    store = open_store(address, making=True)
    assert isinstance(store, Store), store
    return store


def _answer() -> Entry:
    return signed(Entry("answered", "oil-level", "ok", phase="walk"), now(), "kim")


def _killed(address: Address, number: str, after: float) -> set[str]:
    """Let a writer go, kill it, and hand back the marks that it said were kept."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reading)
            _write(address, number, writing)
        finally:
            os._exit(1)  # only where something went wrong: nobody ends it but by a kill
    os.close(writing)
    select.select([reading], [], [], 30)  # its first word
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    said = b""
    while piece := os.read(reading, 65536):
        said += piece
    os.close(reading)
    whole = len(said) - len(said) % _MARK
    return {said[at : at + _MARK].decode() for at in range(0, whole, _MARK)}


def _write(address: Address, number: str, said: int) -> None:
    store = _open(address)
    known = 0
    while True:
        # Several rows in one go, so that half of them would be seen as such.
        drafts = [_answer(), signed(Entry("noted", note="x" * 600), now(), ""), _answer()]
        done = store.append(number, known, drafts)
        assert isinstance(done, Appended), done
        known = done.job.last
        os.write(said, "".join(draft.mark for draft in drafts).encode())


def _look(address: Address, number: str, told: set[str], report: Report, *, thorough: bool) -> None:
    store = _open(address)
    job = store.job(number)
    if not isinstance(job, Job):
        report.wrong.append(f"the store can't be read: {job}")
        return
    report.lost += sorted(told - {entry.mark for entry in job.entries})
    if [entry.number for entry in job.entries] != list(range(1, len(job.entries) + 1)):
        report.wrong.append("the history has a gap")
    if (len(job.entries) - 1) % 3:
        report.wrong.append("half of what was handed over together is there")
    if thorough and not address.server:
        found = store.reading(lambda connection: connection.exec_driver_sql("PRAGMA integrity_check").scalars().all())
        if found != ["ok"]:
            report.wrong.append(f"integrity: {found}")
    store.close()


def main(argv: list[str]) -> int:
    """Kill, then print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.jobs_kills", description=__doc__)
    parser.add_argument("times", nargs="?", type=int, default=1000)
    parser.add_argument("--jobs", metavar="ADDRESS", help="a PostgreSQL server in place of a file in a new folder")
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args(argv)
    with tempfile.TemporaryDirectory(prefix="diagtree-") as folder:
        address = Address(args.jobs or str(Path(folder) / "jobs.db"))
        began = time.monotonic()
        report = kills(address, args.times, args.seed)
    what = "PostgreSQL" if address.server else "SQLite"
    sys.stdout.write(
        f"{what}: {report.kills} kills, {report.told} entries said to be kept, {len(report.lost)} lost, "
        f"{len(report.wrong)} other troubles, {time.monotonic() - began:.0f} s\n"
    )
    for trouble in report.wrong:
        sys.stdout.write(f"  {trouble}\n")
    return int(bool(report.lost or report.wrong))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
