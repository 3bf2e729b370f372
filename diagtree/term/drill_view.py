"""A drill on the full screen: its state, and what may be pointed at. Pure: no terminal, no prompt_toolkit, no clock."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from diagtree.model.fault import Caution
from diagtree.practice.drill import Drill, cautions
from diagtree.report import chances
from diagtree.report import drill as told
from diagtree.term.view import READ

FIELD = -1  # the place of the field in which a list is narrowed
Kind: TypeAlias = Literal["stop", "care", "checks", "faults", "keys", "page", "review"]
# What stands in the place of the list of checks for a while.
Beside: TypeAlias = Literal["", "faults", "ending", "leaving", "odds", "paid", "keys"]


@dataclass(frozen=True, slots=True)
class View:
    """What the screen shows of a drill."""

    drill: Drill
    pointed: int | None = None  # the place of an entry; None: the reader is in the text
    line: int = 0  # of the body, where the reader is in the text
    below: bool = False  # whether that is past the entries
    narrowing: bool = False  # whether letters go into the field
    typed: str = ""  # in the field
    number: str = ""  # the digits typed so far
    news: tuple[str, ...] = ()  # what the last move came to
    refusal: str = ""
    beside: Beside = ""
    check: str = ""  # about to be done: its cautions are being read
    read: int = 0  # of its `stop` cautions, how many were
    marked: tuple[str, ...] = ()  # causes to be named
    left: Literal["", "done", "interrupted"] = ""

    @property
    def kind(self) -> Kind:
        """What the screen is for."""
        if self.drill.ended:
            return "review"
        if self.check:
            return "stop" if unread_stops(self) else "care"
        match self.beside:
            case "":
                return "checks"
            case "faults" | "keys":
                return self.beside
            case _:
                return "page"


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that may be pointed at."""

    id: str  # of a check, a cause; or a key
    number: int  # by which it is known, from 1; 0 where it has none
    text: str


@dataclass(frozen=True, slots=True)
class Action:
    """A key that does something wherever nothing is typed."""

    key: str
    short: str  # beside the key at the foot
    says: str  # in the list of keys


ACTIONS = (
    Action("f", "faults", "Faults: what can be named; mark them, and end it"),
    Action("t", "tree", "Tree: do what the tree asks next"),
    Action("o", "odds", "Odds: what the answers so far leave likely. It is told at the end"),
    Action("p", "paid", "Paid: what was paid, the answers so far, what is off the car"),
    Action("/", "narrow", "Narrow the list: type a part of a name"),
    Action("h", "help", "Help: every key"),
    Action("q", "leave", "Leave without a result"),
)


def unread_stops(view: View) -> tuple[Caution, ...]:
    """The `stop` cautions of the check about to be done that were not read yet."""
    return tuple(one for one in cautions(view.drill, view.check) if one.level == "stop")[view.read :]


def milder(view: View) -> tuple[Caution, ...]:
    """Its other cautions."""
    return tuple(one for one in cautions(view.drill, view.check) if one.level != "stop")


def read_key(view: View) -> str:
    """The key that says that the caution which is due was read: each time another."""
    return READ[(len(unread_stops(view)) - 1) % len(READ)]


def entries(view: View) -> tuple[Entry, ...]:
    """What the list holds, narrowed to what was typed."""
    match view.kind:
        case "checks":
            return _narrowed(view, _checks(view.drill))
        case "faults":
            return _narrowed(view, _faults(view.drill))
        case "keys":
            return tuple(Entry(one.key, 0, one.says) for one in ACTIONS)
        case _:
            return ()


def numbered(view: View, number: int) -> int | None:
    """The place of the entry with this number; None where the list has none."""
    return next((place for place, one in enumerate(entries(view)) if one.number == number), None)


def _checks(drill: Drill) -> tuple[Entry, ...]:
    """The checks that are left, by the numbers that they have line by line too."""
    done = drill.here.findings
    return tuple(
        Entry(check.id, at, told.priced(drill, check.id))
        for at, check in enumerate(drill.car.case.free, start=1)
        if check.id not in done
    )


def _faults(drill: Drill) -> tuple[Entry, ...]:
    of = drill.car.case
    named = [cause for cause, repair in zip(of.causes, of.repairs, strict=True) if repair is not None]
    return tuple(
        Entry(cause, at, f"{chances.title(of.library, cause)} ({cause})") for at, cause in enumerate(named, start=1)
    )


def _narrowed(view: View, found: tuple[Entry, ...]) -> tuple[Entry, ...]:
    words = view.typed.casefold().split()
    return tuple(one for one in found if all(word in f"{one.number} {one.text}".casefold() for word in words))


Judge: TypeAlias = Callable[[int], tuple[str, ...] | None]  # the review in so many columns; None: being worked out
