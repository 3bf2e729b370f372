"""The full screen's state, and what it shows. Pure: no terminal, no prompt_toolkit, no clock."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from diagtree.report.question import Asked, asked, asked_anew
from diagtree.report.way import passed_by
from diagtree.term.actions import possible
from diagtree.walk.changes import Given, elsewhere, values
from diagtree.walk.marks import marks
from diagtree.walk.session import Session
from diagtree.walk.warnings import due

# What a key asks for. A character that is typed comes as itself.
Key: TypeAlias = Literal[
    "up", "down", "page-up", "page-down", "enter", "menu", "escape", "backspace", "clear", "back", "leave", "interrupt"
]
KEYS: tuple[Key, ...] = (
    "up", "down", "page-up", "page-down", "enter", "menu", "escape", "backspace", "clear", "back", "leave", "interrupt",
)  # fmt: skip
LONGEST = 500  # characters of a field; longer than any list of codes that is typed
FIELD = 0  # the place of the field, where an answer is typed
CHOOSE_FIRST = "Point at one first: arrows, or its number."
# Keys that say that a caution was read, in turn: one key held down passes one caution.
READ = ("y", "u", "k")

Kind: TypeAlias = Literal["stop", "pick", "type", "line", "note", "list", "menu", "page", "end"]
# What stands in the question's place for a while.
Beside: TypeAlias = Literal[
    "", "menu", "build", "answers", "trees", "values", "line", "note", "why", "change", "info", "help"
]
TYPING: frozenset[Kind] = frozenset({"type", "line", "note"})
_LISTS: frozenset[Beside] = frozenset({"build", "answers", "trees", "values"})


@dataclass(frozen=True, slots=True)
class View:
    """What the screen shows of a walk."""

    session: Session
    pointed: int | None = None  # the answer pointed at; None: the reader is in the text
    line: int = 0  # of the body, where the reader is in the text
    below: bool = False  # whether that is past the answers
    typed: str = ""  # in the field
    news: tuple[str, ...] = ()  # what the last reply came to
    refusal: str = ""
    beside: Beside = ""
    anew: Given | None = None  # what is told anew, or noted on
    left: Literal["", "done", "interrupted"] = ""

    @property
    def kind(self) -> Kind:
        """What the screen is for."""
        if due(self.session):
            return "stop"
        match self.beside:
            case "":
                question = standing(self)
                return question.manner if question else "end"
            case "line" | "note" | "menu":
                return self.beside
            case _:
                return "list" if self.beside in _LISTS else "page"


def standing(view: View) -> Asked | None:
    """The question that an answer would be for: the walk's, or the one that is told anew."""
    if view.anew and view.anew.check:
        return asked_anew(view.session, view.session.case.library.checks[view.anew.check])
    return asked(view.session)


def question(view: View) -> Asked | None:
    """The question that the screen shows."""
    return standing(view) if view.kind in {"pick", "type"} else None


def check_asked(view: View) -> str:
    """The id of the check of that question."""
    if view.anew and view.anew.check:
        return view.anew.check
    return view.session.check.id if view.session.check else ""


def entries(view: View) -> tuple[str, ...]:
    """What a list holds."""
    session = view.session
    match view.beside:
        case "build":
            return tuple(f"{mark.title}: {mark.value}" for mark in marks(session))
        case "trees":
            return tuple(f"{tree.title}{f' ({tree.covers})' if tree.covers else ''}" for tree in elsewhere(session))
        case "answers":
            return tuple(
                f"{one.ask} {one.answer}.{f' Note: {one.note}' if one.note else ''}" for one in passed_by(session)
            )
        case "values":
            return values(session, view.anew.feature) if view.anew else ()
        case "menu":
            return tuple(action.says for action in possible(session))
        case _:
            return ()


def choices(view: View) -> int:
    """How many things there are to point at; a field is one."""
    if view.kind in {"list", "menu"}:
        return len(entries(view))
    shown = question(view)
    if view.kind == "pick" and shown:
        return len(shown.choices)
    return int(view.kind in TYPING)


def read_key(session: Session) -> str:
    """The key that says that the caution which is due was read."""
    return READ[(len(due(session)) - 1) % len(READ)]
