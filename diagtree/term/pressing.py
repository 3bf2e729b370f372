"""What each key does to a view. Pure: no terminal, no prompt_toolkit, no clock."""

from dataclasses import replace

from diagtree.report.question import told
from diagtree.report.way import passed_by
from diagtree.term.actions import BY_KEY, Action, possible
from diagtree.term.view import (
    CHOOSE_FIRST,
    FIELD,
    LONGEST,
    READ,
    TYPING,
    Beside,
    View,
    check_asked,
    choices,
    entries,
    question,
    read_key,
)
from diagtree.walk import changes, moves
from diagtree.walk.answers import Refused
from diagtree.walk.changes import Given, elsewhere, to_note
from diagtree.walk.keeping import Kept
from diagtree.walk.marks import marks
from diagtree.walk.session import Session, acknowledge
from diagtree.walk.taking import CANNOT_TELL
from diagtree.walk.warnings import due

_OPENED: dict[str, Beside] = {
    "r": "answers", "n": "note", "w": "why", "c": "change", "i": "info", "j": "trees", "f": "build", ":": "line",
    "h": "help",
}  # fmt: skip
_PAGES: dict[str, Beside] = {"why": "why", "change": "change", "info": "info", "help": "help"}


def opened(session: Session, news: tuple[str, ...] = ()) -> View:
    """The screen at the beginning of a walk, or of its rest."""
    return _at(View(session), session, [*news, *told(None, session)])


def press(view: View, key: str, *, held: bool = False) -> View:
    """The view after a key, for all keys but those that move.

    Args:
        view: before it.
        key: one of `KEYS`, or a character.
        held: whether it came so soon behind the same key that it may be held down: then it points, and answers nothing.
    """
    if key in {"interrupt", "leave"}:
        return replace(view, left="interrupted" if key == "interrupt" else "done")
    if held and view.kind not in TYPING and not _digit(key):
        return view
    view = replace(view, refusal="")
    if view.kind in TYPING:
        return _press_field(view, key)
    if view.kind in {"pick", "list"}:
        return _press_choice(view, key, held=held)
    return {"stop": _press_stop, "menu": _press_menu}.get(view.kind, _common)(view, key)


def paste(view: View, text: str) -> View:
    """Pasted text fills a field with its first line and answers nothing; elsewhere it does nothing."""
    if view.kind not in TYPING:
        return view
    first = next(iter(text[: 4 * LONGEST].splitlines()), "")
    kept = "".join(character for character in view.typed + first if character.isprintable())[:LONGEST]
    return replace(view, typed=kept, pointed=FIELD, refusal="")


def kept(view: View, found: Kept) -> View:
    """The view after the walk was kept: what that came to, and the session to go on with."""
    if found.session is not view.session:
        return _at(view, found.session, [found.say] if found.say else [])
    return replace(view, news=(*view.news, found.say)) if found.say else view


def _press_stop(view: View, key: str) -> View:
    wanted = read_key(view.session)
    if key.lower() == wanted:
        session = acknowledge(view.session, due(view.session)[0].keys)
        return _at(view, session, list(view.news))
    if key == "q":
        return replace(view, left="done")
    if key in {"b", "back", "backspace"}:
        return _replied(view, moves.back(view.session))
    if key in {"enter", *READ} or _digit(key):
        return replace(view, refusal=f"Read the caution first, then press {wanted}.")
    return view


def _press_choice(view: View, key: str, *, held: bool) -> View:
    if key == "enter":
        return replace(view, refusal=CHOOSE_FIRST) if view.pointed is None else _chosen(view, view.pointed)
    if _digit(key):
        return _numbered(view, key, held=held)
    if view.kind == "pick" and key == CANNOT_TELL:
        return _told(view, CANNOT_TELL)
    if view.beside == "answers" and key == "n":
        return _note_on(view)
    return _common(view, key)


def _digit(key: str) -> bool:
    return len(key) == 1 and key in "0123456789"


def _numbered(view: View, digit: str, *, held: bool) -> View:
    place = int(digit) - 1
    if not 0 <= place < choices(view):
        return replace(view, refusal=f"There is no answer {digit} here.")
    if held:
        return replace(view, pointed=place, refusal=f"Press {digit} once more, or Enter, to answer this.")
    return _chosen(view, place)


def _chosen(view: View, place: int) -> View:
    """The view after something that can be pointed at was chosen."""
    session = view.session
    match view.beside:
        case "answers":
            one = passed_by(session)[place].given
            return _opened(view, "values" if one.feature else "", one)
        case "build":
            mark = marks(session)[place]
            after = moves.identify(session, mark.feature, mark.value)
        case "trees":
            after = changes.jump(session, elsewhere(session)[place].id)
        case _:
            shown = question(view)
            return _told(view, shown.choices[place].id if shown else entries(view)[place])
    return _replied(view, after)


def _told(view: View, text: str) -> View:
    """The view after an answer to the question that is shown."""
    if view.anew:
        return _replied(view, changes.revised(view.session, view.anew, text))
    if text == CANNOT_TELL:
        after = moves.cannot_tell(view.session)
        if isinstance(after, Refused) and view.kind == "pick" and after.sentence.endswith("CHECK=ANSWER."):
            return replace(view, refusal=f"{after.sentence} Press : to type it.")
        return _replied(view, after)
    return _replied(view, moves.tell(view.session, check_asked(view), text))


def _note_on(view: View) -> View:
    """A note on the answer pointed at."""
    if view.pointed is None:
        return replace(view, refusal=CHOOSE_FIRST)
    one = passed_by(view.session)[view.pointed]
    if not one.given.check:
        return replace(view, refusal="A note stands on an answer, not on the build.")
    return replace(_opened(view, "note", one.given), typed=one.note, pointed=FIELD)


def _press_field(view: View, key: str) -> View:
    if key == CANNOT_TELL and not view.typed and view.kind == "type":
        return _told(view, key)
    edited = _edited(view.typed, key)
    if edited is not None:
        return replace(view, typed=edited, pointed=FIELD)
    if key == "enter":
        return _entered(view)
    if key == "menu" and (view.kind != "type" or view.anew):
        return view
    return _common(view, key) if key in {"back", "escape", "menu"} else view


def _entered(view: View) -> View:
    """The view after what stands in the field was given."""
    text = view.typed.strip()
    if view.kind == "note":
        check = view.anew.check if view.anew else to_note(view.session)
        return _replied(view, changes.noted(view.session, check, text))
    if view.anew:
        return _told(view, text)
    name = text.removeprefix(moves.COMMAND).strip().lower()
    if name in _PAGES and view.kind == "line":
        return _opened(view, _PAGES[name])
    return _replied(view, moves.answer(view.session, text))


def _edited(text: str, key: str) -> str | None:
    """The field after an editing key or a character; None for any other key."""
    if key == "backspace":
        return text[:-1]
    if key == "clear":
        return ""
    return (text + key)[:LONGEST] if len(key) == 1 and key.isprintable() else None


def _press_menu(view: View, key: str) -> View:
    if key == "enter":
        if view.pointed is None:
            return replace(view, refusal=CHOOSE_FIRST)
        key = possible(view.session)[view.pointed].key
    elif key == "menu":
        key = "escape"
    return _common(replace(view, beside=""), key)


def _common(view: View, key: str) -> View:
    """The keys that mean the same wherever nothing is typed."""
    if key in {"b", "back", "backspace", "escape"}:
        if view.beside or view.anew:
            return _at(view, view.session, list(view.news))
        return view if key == "escape" else _replied(view, moves.back(view.session))
    if key == "q":
        return replace(view, left="done")
    if key == "menu":
        return _opened(view, "menu")
    return _acted(view, BY_KEY[key]) if key in BY_KEY else view


def _acted(view: View, action: Action) -> View:
    """The view after an action's key."""
    if not action.open(view.session):
        return replace(view, refusal=action.why_not)
    return _opened(view, _OPENED[action.key])


def _opened(view: View, beside: Beside, anew: Given | None = None) -> View:
    """The view with something in the question's place."""
    start = FIELD if beside in {"line", "note"} else None
    return replace(view, beside=beside, anew=anew, pointed=start, line=0, below=False, typed="")


def _replied(view: View, after: Session | Refused) -> View:
    if isinstance(after, Refused):
        return replace(view, refusal=after.sentence)
    return _at(view, after, told(view.session, after))


def _at(view: View, session: Session, news: list[str]) -> View:
    """The screen when it first shows a question: nothing pointed at, so that Enter held down answers once."""
    return View(session, news=tuple(news), left=view.left)
