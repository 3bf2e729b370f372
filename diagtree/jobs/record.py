"""A job as it is kept: a line of entries that only ever grows. What holds now is read out of it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from math import inf
from secrets import token_hex
from typing import Literal, TypeAlias

Kind: TypeAlias = Literal[
    "answered",  # subject: check, value: the answer so that it can be read again, typed: as typed, answer: its id
    "revised",  # the same, in place of all that the check showed before
    "cannot-tell",  # subject: check
    "seen",  # subject: feature, value; an empty feature names a build. note: what it took out, see `writing`
    "turned",  # subject: the tree that was gone on in
    "taken-back",  # subject: the mark of the entry that no longer holds
    "aside",  # a reply that came too late: another bench had answered. subject, value, typed as it was given
    "acknowledged",  # subject: caution, value: the place that names it
    "outcome",  # subject: tree/node, value: the faults; both empty where the outcome was left again
    "noted",  # subject: check or empty, note; with a phase it is a reply, else a remark on the job
    "picture",  # subject: check or empty, value: path
    "authorised",  # subject: stage, value: amount, note: by whom
    "declined",  # subject: work step
    "vehicle",  # value: free text
    "library",  # value: the digest of what the replies from here on were given under, note: the tree's revision
    "closed",  # value: whether the repair held
    "found",  # subject: fault; stands behind `closed`
    "reopened",
]
Phase: TypeAlias = Literal["start", "walk", ""]  # of a reply: known before the walk, or given in it
Stage: TypeAlias = Literal["diagnosis", "strip-down", "repair"]
Held: TypeAlias = Literal["yes", "no", "unknown"]
State: TypeAlias = Literal["open", "closed"]

STAGES: tuple[Stage, ...] = ("diagnosis", "strip-down", "repair")
HELD: tuple[Held, ...] = ("yes", "no", "unknown")
# Entries that answer a check, and all that a walk is replayed from where they have a phase.
ANSWERS: frozenset[Kind] = frozenset({"answered", "revised", "cannot-tell"})
REPLIES: frozenset[Kind] = ANSWERS | {"seen", "turned", "noted"}


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a job's history."""

    kind: Kind
    subject: str = ""
    value: str = ""
    typed: str = ""  # as it was typed, where it was typed
    note: str = ""
    phase: Phase = ""
    answer: str = ""  # of a reply: the answer's id that it came to, as the library stood then
    at: str = ""  # UTC, ISO 8601 to the millisecond
    who: str = ""  # who wrote it; empty where nobody was named
    mark: str = ""  # names the entry wherever it is; what makes it safe to write it twice
    number: int = 0  # its place in the history, from 1; 0 before it is kept

    @property
    def is_reply(self) -> bool:
        """Whether a walk is replayed from it."""
        return self.kind in REPLIES and bool(self.phase)


@dataclass(frozen=True, slots=True)
class Closing:
    """How a job was closed."""

    faults: tuple[str, ...]
    held: Held
    at: str
    who: str


@dataclass(frozen=True, slots=True)
class Authorised:
    """What may be spent: money in the shop's currency, cumulative up to the stage."""

    stage: Stage
    amount: float
    by: str
    at: str


@dataclass(frozen=True, slots=True)
class Job:
    """A walk that is kept, with all of its history."""

    number: str
    tree: str
    engine: str  # empty where the library has none
    entries: tuple[Entry, ...]  # in the order in which they were kept

    @property
    def last(self) -> int:
        """The number of the last entry."""
        return self.entries[-1].number if self.entries else 0

    @property
    def begun(self) -> str:
        """When its first entry was written."""
        return self.entries[0].at if self.entries else ""

    @property
    def changed(self) -> str:
        """When its last entry was written."""
        return self.entries[-1].at if self.entries else ""

    @property
    def taken_back(self) -> frozenset[str]:
        """The marks of the entries that no longer hold."""
        return frozenset(entry.subject for entry in self.entries if entry.kind == "taken-back")

    @property
    def replies(self) -> tuple[Entry, ...]:
        """The replies that hold, in the order given."""
        gone = self.taken_back
        return tuple(entry for entry in self.entries if entry.is_reply and entry.mark not in gone)

    @property
    def standing(self) -> tuple[Entry, ...]:
        """The replies that hold, without those in whose place another was told anew: what a list of answers names."""
        found: list[Entry] = []
        for entry in self.replies:
            if entry.kind == "revised":
                found = [one for one in found if one.kind not in ANSWERS or one.subject != entry.subject]
            found.append(entry)
        return tuple(found)

    @property
    def vehicle(self) -> str:
        """The vehicle, as free text."""
        return self._last_value("vehicle")

    @property
    def library(self) -> str:
        """The digest of what the last replies were given under."""
        return self._last_value("library")

    @property
    def outcome(self) -> tuple[str, tuple[str, ...]] | None:
        """The outcome where the walk came to one: tree/node, and its faults."""
        last = self._last("outcome")
        return (last.subject, tuple(last.value.split())) if last and last.subject else None

    @property
    def closing(self) -> Closing | None:
        """How it was closed; None while it is open."""
        last = next((entry for entry in reversed(self.entries) if entry.kind in {"closed", "reopened"}), None)
        if last is None or last.kind == "reopened":
            return None
        found = (entry.subject for entry in self.entries if entry.kind == "found" and entry.number > last.number)
        held: Held = next((word for word in HELD if word == last.value), "unknown")
        return Closing(tuple(found), held, last.at, last.who)

    @property
    def state(self) -> State:
        """Whether it is open."""
        return "closed" if self.closing else "open"

    @property
    def authorised(self) -> Mapping[Stage, Authorised]:
        """What was authorised last, by stage."""
        found: dict[Stage, Authorised] = {}
        for entry in self.of("authorised"):
            stage = next((stage for stage in STAGES if stage == entry.subject), None)
            amount = money(entry.value)
            if stage and amount is not None:
                found[stage] = Authorised(stage, amount, entry.note, entry.at)
        return found

    def of(self, kind: Kind) -> Iterator[Entry]:
        """The entries of a kind, in order."""
        return (entry for entry in self.entries if entry.kind == kind)

    def _last(self, kind: Kind) -> Entry | None:
        return next((entry for entry in reversed(self.entries) if entry.kind == kind), None)

    def _last_value(self, kind: Kind) -> str:
        last = self._last(kind)
        return last.value if last else ""


def now() -> str:
    """This moment in UTC, as entries have it."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def moment(at: str) -> datetime | None:
    """The moment that an entry names; None where another program wrote what is none."""
    try:
        found = datetime.fromisoformat(at)
    except ValueError:
        return None
    return found if found.tzinfo else found.replace(tzinfo=UTC)


def money(text: str) -> float | None:
    """An amount as an entry has it; None where another program wrote what is none."""
    try:
        found = float(text)
    except ValueError:
        return None
    return found if 0.0 <= found < inf else None


def signed(entry: Entry, at: str, who: str) -> Entry:
    """An entry with its time, its writer and a mark of its own."""
    return replace(entry, at=at, who=who, mark=token_hex(12))
