"""The full screen's state, and what each key does to it. Pure: no terminal, no prompt_toolkit."""

from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

from diagtree.report.question import Asked, asked, told
from diagtree.walk import moves
from diagtree.walk.answers import Refused
from diagtree.walk.marks import marks
from diagtree.walk.result import Result, result
from diagtree.walk.session import Session, acknowledge
from diagtree.walk.warnings import due

# What a key asks for. A character that is typed comes as itself.
Key: TypeAlias = Literal[
    "up", "down", "page-up", "page-down", "enter", "backspace", "clear", "back", "leave", "interrupt"
]
KEYS: tuple[Key, ...] = (
    "up", "down", "page-up", "page-down", "enter", "backspace", "clear", "back", "leave", "interrupt",
)  # fmt: skip
LONGEST = 500  # characters of a field; longer than any list of codes that is typed
FIELD = 0  # the place of the field, where an answer is typed
CHOOSE_FIRST = "Point at an answer first: arrows, or its number."

# `type` is a question with a field; `line` is a field for any reply, asked for by a key.
Kind: TypeAlias = Literal["stop", "pick", "type", "line", "build", "end"]
TYPING: frozenset[Kind] = frozenset({"type", "line"})


@dataclass(frozen=True, slots=True, eq=False)
class Ending:
    """What a walk came to; the same only as itself, so that what is written out of it can be kept."""

    result: Result


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
    beside: Literal["", "build", "line"] = ""  # what stands in the question's place for a while
    left: Literal["", "done", "interrupted"] = ""
    # Worked out once, when the walk gets there: a scope takes longer than a key may.
    ending: Ending | None = field(default=None, compare=False)

    @property
    def kind(self) -> Kind:
        """What the screen is for."""
        if due(self.session):
            return "stop"
        if self.beside:
            return self.beside
        question = asked(self.session)
        return question.manner if question else "end"


def opened(session: Session) -> View:
    """The screen at the beginning of a walk, or of its rest."""
    return _at(View(session), session, told(None, session))


def choices(view: View) -> int:
    """How many things there are to point at; a field is one."""
    if view.kind == "build":
        return len(marks(view.session))
    question = asked(view.session)
    if view.kind == "pick" and question:
        return len(question.choices)
    return int(view.kind in TYPING)


def press(view: View, key: str) -> View:
    """The view after a key, for all keys but those that move: `key` is one of `KEYS` or a character."""
    if key in {"interrupt", "leave"}:
        return replace(view, left="interrupted" if key == "interrupt" else "done")
    pressed = {
        "stop": _press_stop,
        "type": _press_field,
        "line": _press_field,
        "build": _press_build,
        "pick": _press_choice,
        "end": _common,
    }
    return pressed[view.kind](replace(view, refusal=""), key)


def paste(view: View, text: str) -> View:
    """Pasted text fills a field with its first line and answers nothing; elsewhere it does nothing."""
    if view.kind not in TYPING:
        return view
    first = next(iter(text[: 4 * LONGEST].splitlines()), "")
    kept = "".join(character for character in view.typed + first if character.isprintable())[:LONGEST]
    return replace(view, typed=kept, pointed=FIELD, refusal="")


def _press_stop(view: View, key: str) -> View:
    if key == "enter":
        session = acknowledge(view.session, due(view.session)[0].keys)
        return _at(view, session, list(view.news))
    return _common(view, key)


def _press_choice(view: View, key: str) -> View:
    question = asked(view.session)
    if key == "enter" and question:
        if view.pointed is None:
            return replace(view, refusal=CHOOSE_FIRST)
        return _answered(view, question.choices[view.pointed].id)
    if key.isascii() and key.isdigit():
        return _point(view, key)
    if key == moves.CANNOT_TELL:
        return _replied(view, moves.cannot_tell(view.session))
    if key == "f" and marks(view.session):
        return replace(view, beside="build", pointed=None, line=0)
    return _common(view, key)


def _press_field(view: View, key: str) -> View:
    edited = _edited(view.typed, key)
    if key == moves.CANNOT_TELL and not view.typed and not view.beside:
        return _replied(view, moves.cannot_tell(view.session))
    if edited is not None:
        return replace(_to_field(view), typed=edited)
    if key == "enter":
        return _replied(view, moves.answer(view.session, view.typed))
    if key == "back":
        return _at(view, view.session, list(view.news)) if view.beside else _replied(view, moves.back(view.session))
    return view


def _edited(field: str, key: str) -> str | None:
    """The field after an editing key or a character; None for any other key."""
    if key == "backspace":
        return field[:-1]
    if key == "clear":
        return ""
    return (field + key)[:LONGEST] if len(key) == 1 and key.isprintable() else None


def _press_build(view: View, key: str) -> View:
    found = marks(view.session)
    if key == "enter":
        if view.pointed is None:
            return replace(view, refusal=CHOOSE_FIRST)
        mark = found[view.pointed]
        return _replied(view, moves.identify(view.session, mark.feature, mark.value))
    if key.isascii() and key.isdigit():
        return _point(view, key)
    if key in {"b", "back", "backspace", "f"}:
        return _at(view, view.session, list(view.news))
    return replace(view, left="done") if key == "q" else view


def _common(view: View, key: str) -> View:
    """The keys that mean the same wherever nothing is typed."""
    if key in {"b", "back", "backspace"}:
        return _replied(view, moves.back(view.session))
    if key == ":" and view.kind != "stop":
        return _to_field(replace(view, beside="line"))
    return replace(view, left="done") if key == "q" else view


def _point(view: View, digit: str) -> View:
    place = int(digit) - 1
    if 0 <= place < choices(view):
        return replace(view, pointed=place)
    return replace(view, refusal=f"There is no answer {digit} here.")


def _answered(view: View, answer: str) -> View:
    check = view.session.check
    return _replied(view, moves.tell(view.session, check.id, answer)) if check else view


def _replied(view: View, after: Session | Refused) -> View:
    if isinstance(after, Refused):
        return replace(view, refusal=after.sentence)
    return _at(view, after, told(view.session, after))


def _at(view: View, session: Session, news: list[str]) -> View:
    """The screen when it first shows a question: nothing pointed at, so that a key held down answers once."""
    ending = None if session.check else Ending(result(session))
    return View(session, news=tuple(news), left=view.left, ending=ending)


def _to_field(view: View) -> View:
    return replace(view, pointed=FIELD)


def question(view: View) -> Asked | None:
    """The question that the screen shows."""
    return asked(view.session) if view.kind in {"pick", "type"} else None
