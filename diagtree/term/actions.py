"""The keys that mean the same wherever nothing is typed, and when each of them does something. Pure."""

from collections.abc import Callable
from dataclasses import dataclass

from diagtree.walk.changes import elsewhere, given, to_note
from diagtree.walk.marks import marks
from diagtree.walk.session import Session

NO_TREE = "No other tree suits this engine."
_Open = Callable[[Session], bool]


@dataclass(frozen=True, slots=True)
class Action:
    """A key and what it does."""

    key: str
    short: str  # beside the key at the foot
    says: str  # in the list of keys
    open: _Open  # whether it does anything now
    why_not: str = ""  # what to say where it does not


def _always(_session: Session) -> bool:
    return True


def _asked(session: Session) -> bool:
    return session.check is not None


_NO_QUESTION = "No question stands here."
ACTIONS: tuple[Action, ...] = (
    Action("b", "back", "Back: take the last answer back", lambda at: bool(at.replies)),
    Action("r", "revise", "Revise an earlier answer", lambda at: bool(given(at)), "Nothing was answered yet."),
    Action("n", "note", "Note something on the last answer", lambda at: bool(to_note(at)), "There is nothing to note."),
    Action("w", "why", "Why this question: which causes it tells apart", _asked, _NO_QUESTION),
    Action("c", "change", "What would change the advice", _asked, _NO_QUESTION),
    Action("i", "info", "Info: what is possible, the way so far, what is off the car", _always),
    Action("j", "jump", "Jump to another tree, all answers kept", lambda at: bool(elsewhere(at)), NO_TREE),
    Action("f", "build", "Feature: tell which build it is", lambda at: bool(marks(at)), "The build is known."),
    Action(":", "type", "Type any reply or command", _always),
    Action("h", "help", "Help: every key", _always),
    Action("q", "quit", "Quit here, with what is known", _always),
)
BY_KEY = {action.key: action for action in ACTIONS}


def possible(session: Session) -> tuple[Action, ...]:
    """The actions that do something now."""
    return tuple(action for action in ACTIONS if action.open(session))
