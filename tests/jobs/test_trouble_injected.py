"""A store that fails at random, before and after it has written: nothing is lost, nothing doubled."""

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import TypeVar

import pytest

from diagtree.graph.serving import builds
from diagtree.jobs.address import Address
from diagtree.jobs.handing import Appended, Beginning, Unkept
from diagtree.jobs.keeping import JobKeeper, Terms
from diagtree.jobs.record import Entry, Job
from diagtree.jobs.store import Store, open_store
from diagtree.source.reader import read
from diagtree.walk import moves
from diagtree.walk.replies import Case
from diagtree.walk.session import Session, begin

FOREIGN = Path(__file__).resolve().parents[1] / "foreign" / "pump"

_Done = TypeVar("_Done", Job, Appended)


class Failing:
    """A store before which, and behind which, the disk fails now and then."""

    def __init__(self, store: Store, draw: Random) -> None:
        self._store, self._draw = store, draw
        self.sound = False

    def begin(self, beginning: Beginning) -> Job | Unkept:
        return self._maybe(lambda: self._store.begin(beginning))

    def append(self, number: str, known: int, drafts: list[Entry]) -> Appended | Unkept:
        return self._maybe(lambda: self._store.append(number, known, drafts))

    def close(self) -> None:
        """It is closed by the test."""

    def _maybe(self, work: Callable[[], _Done | Unkept]) -> _Done | Unkept:
        luck = 1.0 if self.sound else self._draw.random()
        if luck < 0.3:
            return Unkept("The disk is full.")
        found = work()
        return Unkept("The word was lost.") if luck < 0.6 else found


@pytest.mark.parametrize("seed", range(12))
def test_nothing_is_lost_and_nothing_doubled(seed: int, tmp_path: Path) -> None:
    draw = Random(seed)
    library = read(str(FOREIGN)).library
    engine = next(iter(library.engines.values()))
    tree = library.trees["noisy-pump"]
    session = begin(Case(library, tree, engine, builds(engine)[:1], {}))
    assert isinstance(session, Session)
    store = open_store(Address(str(tmp_path / "jobs.db")), making=True)
    assert isinstance(store, Store)
    failing = Failing(store, draw)
    keeper = JobKeeper(lambda: failing, session, Terms())  # type: ignore[arg-type,return-value]
    given = 0
    for _ in range(14):
        check = session.check
        text = "back" if check is None or draw.random() < 0.25 else draw.choice(check.answers).id
        after = moves.answer(session, text)
        if isinstance(after, Session):
            given += text != "back"
            session = keeper.keep(session, after, text).session
    failing.sound = True
    session = keeper.flush(session).session
    assert keeper.unsaved == 0
    assert keeper.job is not None
    job = store.job(keeper.job.number)
    store.close()
    assert isinstance(job, Job)
    assert max(Counter(entry.mark for entry in job.entries).values()) == 1
    # One entry for each answer ever given, and those that hold are the walk's.
    assert sum(entry.kind in {"answered", "revised"} for entry in job.entries) == given
    assert [entry.subject for entry in job.replies if entry.phase == "walk"] == [
        reply.finding.check  # type: ignore[union-attr]
        for reply in session.replies
    ]
    assert job == keeper.job
