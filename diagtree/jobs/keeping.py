"""Keeping a walk as a job while it goes on."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

from diagtree.jobs import writing
from diagtree.jobs.allowance import Lookout
from diagtree.jobs.digest import digest
from diagtree.jobs.handing import Appended, Beginning, Unkept
from diagtree.jobs.record import Entry, Job, now, signed
from diagtree.jobs.replay import again
from diagtree.walk.answers import Refused
from diagtree.walk.keeping import Kept
from diagtree.walk.session import Session

if TYPE_CHECKING:
    from diagtree.jobs.store import Store

Opening: TypeAlias = "Callable[[], Store | Unkept]"

_LONGEST = 400  # characters of what was typed that are kept
_NOT_KEPT = "Not saved yet, and tried again with the next answer."


@dataclass(frozen=True, slots=True)
class Terms:
    """What is said of a job beside its answers."""

    number: str = ""  # for a new job; empty: the next free one
    who: str = ""  # whoever answers
    vehicle: str = ""  # where it is new
    news: tuple[str, ...] = ()  # what to tell with the first question
    typed: bool = True  # whether somebody reads along: a pipe acknowledges nothing


@dataclass(frozen=True, slots=True)
class GoingOn:
    """A job that goes on, and the entries of the session that it came to: one for each preset, one for each reply."""

    job: Job
    start: tuple[Entry, ...]
    walked: tuple[Entry, ...]


class JobKeeper:
    """A walk's keeper: each step is on the disk before the next question is shown.

    What can't be written stays here and is tried again with each step, in its order, with the time at which it was
    given.
    """

    def __init__(self, opening: Opening, session: Session, terms: Terms, going_on: GoingOn | None = None) -> None:
        """Take up a walk; `opening` opens the store, and is asked again after trouble."""
        self.session = session  # as it was left last
        self._opening = opening
        self._terms = terms
        self._store: Store | None = None
        self._job = going_on.job if going_on else None
        self._lookout = Lookout()
        self._digest = digest(session.case)
        self._start = list(zip(session.preset, going_on.start, strict=True)) if going_on else []
        self._walked = list(zip(session.replies, going_on.walked, strict=True)) if going_on else []
        self._acknowledged = session.acknowledged if going_on else frozenset()
        self._outcome = _outcome(self._job)
        self._pending: list[Entry] = []
        if self._job is None:
            self._pend(writing.known(session.case))
        if terms.vehicle and (self._job is None or self._job.vehicle != terms.vehicle):
            self._pend([Entry("vehicle", value=terms.vehicle)])

    @property
    def news(self) -> tuple[str, ...]:
        """What to tell with the first question."""
        return self._terms.news

    @property
    def job(self) -> Job | None:
        """The job as it was last kept; None before the first answer."""
        return self._job

    @property
    def unsaved(self) -> int:
        """How many steps of this walk are not on the disk."""
        return sum(entry.is_reply or entry.kind == "taken-back" for entry in self._pending) if self._begun else 0

    @property
    def _begun(self) -> bool:
        return self._job is not None or any(entry.is_reply and entry.kind != "seen" for entry in self._pending)

    def keep(self, before: Session, after: Session, typed: str = "") -> Kept:
        """Keep what changed. The entries that were kept last decide what that is, not `before`: a step that could not
        be kept is kept with the next.
        """
        del before
        self._note(after, _plain(typed))
        kept = self._flush(after) if self._begun and self._pending else Kept(after)
        self.session = kept.session
        return kept

    def flush(self, session: Session | None = None) -> Kept:
        """Keep what is still waiting; with a session also what that says beyond the last step."""
        if session is not None:
            return self.keep(session, session)
        return self._flush(self.session) if self._begun and self._pending else Kept(self.session)

    def close(self) -> None:
        """Let go of the store."""
        if self._store:
            self._store.close()
            self._store = None

    def _pend(self, entries: Iterable[Entry]) -> list[Entry]:
        at = now()
        new = [signed(entry, at, self._terms.who) for entry in entries]
        self._pending += new
        return new

    def _note(self, after: Session, typed: str) -> None:
        """Put what changed since the last step among what is to be kept."""
        # The replies come first: a job begins with an answer, and what was acknowledged before it is part of it.
        taken = after.acknowledged - self._acknowledged
        if self._terms.typed:
            self._pend(Entry("acknowledged", caution, place) for place, caution in sorted(taken))
        self._acknowledged = after.acknowledged
        for replies, known, phase in ((after.preset, self._start, "start"), (after.replies, self._walked, "walk")):
            old, new = writing.changed([reply for reply, _ in known], replies)
            self._pend(Entry("taken-back", entry.mark) for _, entry in known[old])
            given = replies[new]
            last = len(given) - 1
            drafts = self._pend(
                writing.entry(after.case, reply, "start" if phase == "start" else "walk", typed if at == last else "")
                for at, reply in enumerate(given)
            )
            known[old] = list(zip(given, drafts, strict=True))
        outcome = writing.outcome(after)
        if outcome != self._outcome:
            self._pend([Entry("outcome", *outcome)])
            self._outcome = outcome

    def _flush(self, after: Session) -> Kept:
        store = self._open()
        if isinstance(store, Unkept):
            return Kept(after, f"{store.sentence} {_NOT_KEPT}")
        kept = self._begin(store, after) if self._job is None else self._append(store, self._job, after)
        if isinstance(kept, Unkept):
            return Kept(after, f"{kept.sentence} {_NOT_KEPT}")
        said = [kept.say, self._lookout.look(kept.session, self._job) if self._job else ""]
        return replace(kept, say=" ".join(filter(None, said)))

    def _open(self) -> "Store | Unkept":
        if self._store is None:
            found = self._opening()
            if isinstance(found, Unkept):
                return found
            self._store = found
        return self._store

    def _begin(self, store: "Store", after: Session) -> Kept | Unkept:
        case = after.case
        if self._pending[0].kind != "library":
            # Signed once: by its mark the store knows a beginning that was kept and of which only the word was lost.
            library = writing.library(case, self._digest)
            self._pending.insert(0, signed(library, self._pending[0].at, self._terms.who))
        engine = case.engine.id if case.library.engines else ""
        job = store.begin(Beginning(case.tree.id, engine, tuple(self._pending), self._terms.number))
        if isinstance(job, Unkept):
            return job
        wanted = self._terms.number
        other = f"The number {wanted} went to another job meanwhile. " if wanted not in {"", job.number} else ""
        self._job = job
        marks = {entry.mark for entry in job.entries}
        self._pending = [entry for entry in self._pending if entry.mark not in marks]
        began = f"{other}This is job {job.number}."
        if not self._pending:
            return Kept(after, began)
        # It was kept with an earlier step; what came since goes behind it.
        kept = self._append(store, job, after)
        return kept if isinstance(kept, Unkept) else replace(kept, say=f"{began} {kept.say}".strip())

    def _append(self, store: "Store", job: Job, after: Session) -> Kept | Unkept:
        if job.library != self._digest:
            library = signed(writing.library(after.case, self._digest), self._pending[0].at, self._terms.who)
            self._pending.insert(0, library)
            self._job = job = replace(job, entries=(*job.entries, library))  # said once, also where it must wait
        done = store.append(job.number, max((entry.number for entry in job.entries), default=0), self._pending)
        if isinstance(done, Unkept):
            return done
        self._pending = []
        self._job = done.job
        return self._joined(done, after) if done.meanwhile or done.aside else Kept(after)

    def _joined(self, done: Appended, after: Session) -> Kept:
        """The walk with what another bench did meanwhile."""
        found = again(after.case, done.job.replies)
        if isinstance(found, Refused):  # the same tree began a moment ago
            return Kept(after)
        session = replace(found.session, acknowledged=after.acknowledged)
        self._start = list(zip(session.preset, found.start, strict=True))
        self._walked = list(zip(session.replies, found.walked, strict=True))
        self._outcome = _outcome(done.job)
        return Kept(session, meanwhile(done))


def _plain(typed: str) -> str:
    """What was typed, as every store takes it: on one line, nothing hidden in it, not too long."""
    return "".join(c if c.isprintable() else " " for c in typed).strip()[:_LONGEST]


def _outcome(job: Job | None) -> tuple[str, str]:
    """The outcome that a job says, as its entry has it."""
    found = job.outcome if job else None
    return (found[0], " ".join(found[1])) if found else ("", "")


def meanwhile(done: Appended) -> str:
    """What another bench did, and what of ours came too late; no word of what changes nothing in the walk."""
    shown = [entry for entry in done.meanwhile if entry.is_reply or entry.kind == "taken-back"]
    by_mark = {entry.mark: entry for entry in done.job.entries}
    others = ", ".join(_said(by_mark.get(entry.subject, entry), entry) for entry in shown)
    late = ", ".join(f"{entry.subject}={entry.value or '?'}" for entry in done.aside)
    said = f"Another bench went on with job {done.job.number}: {others}." if others else ""
    aside = (
        f"Yours came later and stands aside in the history: {late}. Give it again if it should hold." if late else ""
    )
    return " ".join(filter(None, (said, aside)))


def _said(about: Entry, entry: Entry) -> str:
    by = f" by {entry.who}" if entry.who else ""
    if entry.kind == "taken-back":
        return f"{about.subject} taken back{by}"
    if entry.kind == "noted":
        return f"a note on {entry.subject}{by}"
    return f"{entry.subject or 'build'}{f'={entry.value}' if entry.value else ''}{by}"
