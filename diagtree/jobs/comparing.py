"""Closed jobs under two libraries: which of them would end elsewhere after an edit."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TypeAlias

from diagtree.graph.serving import engines
from diagtree.jobs.handing import Unkept
from diagtree.jobs.listing import Wanted, jobs
from diagtree.jobs.record import Entry, Job
from diagtree.jobs.replay import Ground, replay
from diagtree.jobs.store import Store
from diagtree.model.library import Library
from diagtree.walk.answers import Refused

_Key: TypeAlias = tuple[str, str, tuple[tuple[str, ...], ...]]


@dataclass(frozen=True, slots=True)
class End:
    """Where a job's replies lead."""

    faults: tuple[str, ...] = ()  # of the outcome, sorted
    check: str = ""  # that is still asked, where they come to no outcome
    why: str = ""  # why they lead nowhere, in words


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """A closed job that ends elsewhere."""

    number: str
    tree: str
    before: End
    after: End
    found: tuple[str, ...]  # what was found in the car
    misfits: int  # replies that only the new library does not take


@dataclass(frozen=True, slots=True)
class Replays:
    """All closed jobs under both libraries."""

    jobs: int
    moved: tuple[Elsewhere, ...]  # by number


def compare(store: Store, old: Library, new: Library, told: Callable[[int], None] = lambda _: None) -> Replays | Unkept:
    """Replay each closed job under both libraries.

    Args:
        store: an open one.
        old: the library before the edit.
        new: after it.
        told: is called with the number of jobs done, now and then.
    """
    ends = _Ends(old), _Ends(new)
    moved, many = list[Elsewhere](), 0
    for job in jobs(store, Wanted(state="closed")):
        if isinstance(job, Unkept):
            return job
        many += 1
        told(many)
        (before, unfit), (after, misfits) = (one.of(job) for one in ends)
        if before != after:
            found = job.closing.faults if job.closing else ()
            moved.append(Elsewhere(job.number, job.tree, before, after, found, max(0, misfits - unfit)))
    return Replays(many, tuple(moved))


class _Ends:
    """Where jobs end under one library; jobs with the same replies are walked once."""

    def __init__(self, library: Library) -> None:
        self._library = library
        self._known: dict[_Key, tuple[End, int]] = {}

    def of(self, job: Job) -> tuple[End, int]:
        """Where it ends, and how many replies the library does not take."""
        replies = job.replies
        key = (job.tree, job.engine, tuple(_facts(replies)))
        if key not in self._known:
            self._known[key] = self._walk(job.tree, job.engine, replies)
        return self._known[key]

    def _walk(self, tree: str, engine: str, replies: Iterable[Entry]) -> tuple[End, int]:
        begun = self._library.trees.get(tree)
        on = next((one for one in engines(self._library) if one.id == engine or not engine), None)
        if begun is None or on is None:
            what = f"tree '{tree}'" if begun is None else f"engine '{engine}'"
            return End(why=f"the library has no {what}"), 0
        found = replay(Ground(self._library, begun, on), replies)
        if isinstance(found, Refused):
            return End(why="the tree has no start"), 0
        outcome, check = found.session.outcome, found.session.check
        if outcome is not None:
            return End(tuple(sorted(outcome.faults))), len(found.misfits)
        return (End(check=check.id) if check else End(why="there is no way on")), len(found.misfits)


def _facts(replies: Iterable[Entry]) -> Iterator[tuple[str, ...]]:
    return ((one.kind, one.subject, one.value, one.note, one.phase) for one in replies)
