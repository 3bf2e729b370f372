"""A bench: a walk, what keeps it, and the store."""

from collections.abc import Iterable

from diagtree.graph.serving import engines
from diagtree.jobs.address import Address
from diagtree.jobs.handing import Unkept
from diagtree.jobs.keeping import GoingOn, JobKeeper, Terms
from diagtree.jobs.record import Job
from diagtree.jobs.replay import Ground, Replayed, replay
from diagtree.jobs.store import Store, open_store
from diagtree.model.library import Library
from diagtree.walk import moves
from diagtree.walk.session import Session


def opening(address: Address) -> Store | Unkept:
    found = open_store(address, making=True)
    assert found is not None
    return found


class Bench:
    """Types replies, keeps each, and notes what was said."""

    def __init__(self, address: Address, session: Session, job: Job | None = None, who: str = "") -> None:
        self.session = session
        self.said: list[str] = []
        going_on = None
        if job:
            found = again(job, session.case.library)
            going_on = GoingOn(job, found.start, found.walked)
            self.session = found.session
        self.keeper = JobKeeper(lambda: opening(address), self.session, Terms(who=who), going_on)

    def type(self, *texts: str) -> None:
        for text in texts:
            after = moves.answer(self.session, text)
            if isinstance(after, Session):
                kept = self.keeper.keep(self.session, after, text)
                self.session = kept.session
                self.said.append(kept.say)

    def job(self) -> Job:
        assert self.keeper.job
        return self.keeper.job


def again(job: Job, library: Library) -> Replayed:
    """A job's walk under a library."""
    engine = next(one for one in engines(library) if one.id == (job.engine or one.id))
    found = replay(Ground(library, library.trees[job.tree], engine), job.replies)
    assert isinstance(found, Replayed)
    return found


def stored(address: Address, number: str) -> Job:
    store = opening(address)
    assert isinstance(store, Store), store
    job = store.job(number)
    store.close()
    assert isinstance(job, Job), job
    return job


def answers(entries: Iterable[object]) -> list[tuple[str, str]]:
    return [(one.subject, one.value) for one in entries]  # type: ignore[attr-defined]
