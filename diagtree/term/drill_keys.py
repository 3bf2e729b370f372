"""What each key does to a drill on the screen. Pure: no terminal, no prompt_toolkit, no clock."""

from dataclasses import replace

from diagtree.practice.drill import Drill, Refused, ask, asked_by_tree, cautions, looked_at_odds, name_repair
from diagtree.report import drill as told
from diagtree.term.drill_view import (
    FIELD,
    Beside,
    View,
    entries,
    milder,
    numbered,
    read_key,
    unread_stops,
)
from diagtree.term.practice import NO_WAY_ON, tree_ends
from diagtree.term.view import CHOOSE_FIRST, LONGEST, READ

_BESIDE: dict[str, Beside] = {"f": "faults", "p": "paid", "h": "keys", "menu": "keys"}
END_KEY = "e"
_BACK = frozenset({"escape", "b", "back", "backspace"})


def opened(drill: Drill) -> View:
    """The screen as the car comes in."""
    return View(drill)


def press(view: View, key: str, *, held: bool = False) -> View:
    """The view after a key, for all keys but those that move.

    Args:
        view: before it.
        key: a name such as `enter`, or a character.
        held: whether it came so soon behind the same key that it may be held down: then it only points.
    """
    if key in {"interrupt", "leave"}:
        return replace(view, left="interrupted" if key == "interrupt" else "done")
    if held and not view.narrowing and not key.isdecimal():
        return view
    view = replace(view, refusal="")
    if view.narrowing:
        return _narrow(view, key)
    return {"stop": _read, "care": _heeded, "page": _at_page, "review": _at_review}.get(view.kind, _listed)(view, key)


def paste(view: View, text: str) -> View:
    """Pasted text fills the field with its first line and does nothing; elsewhere it does nothing at all."""
    if not view.narrowing:
        return view
    first = next(iter(text[: 4 * LONGEST].splitlines()), "")
    return _typed(view, "".join(one for one in view.typed + first if one.isprintable()))


def _read(view: View, key: str) -> View:
    wanted = read_key(view)
    if key.lower() == wanted:
        after = replace(view, read=view.read + 1, line=0, pointed=None)
        return after if unread_stops(after) or milder(after) else _done(after)
    if key == "enter" or key in READ or key.isdecimal():
        return replace(view, refusal=f"Read the caution first, then press {wanted}.")
    return _other(view, key)


def _listed(view: View, key: str) -> View:
    """A key at a list."""
    if len(key) == 1 and key in "0123456789" and view.kind in {"checks", "faults"}:
        return _numbered(view, key)
    if key == "enter":
        return _chosen(view)
    if key == " " and view.kind == "faults":
        return _marked(view)
    if key == "/" and view.kind in {"checks", "faults"}:
        return replace(view, narrowing=True, typed="", pointed=None, line=0, below=False, number="")
    return _other(view, key)


def _heeded(view: View, key: str) -> View:
    """A key at the cautions that need no word."""
    return _done(view) if key == "enter" else _other(view, key)


def _at_page(view: View, key: str) -> View:
    if view.beside == "ending" and key == END_KEY:
        return _moved(view, name_repair(view.drill, view.marked))
    if view.beside == "leaving" and key == "q":
        return replace(view, left="done")
    return _other(view, key)


def _at_review(view: View, key: str) -> View:
    return replace(view, left="done") if key == "q" else view


def _numbered(view: View, digit: str) -> View:
    """Point at the entry of a number, digit by digit."""
    for number in (view.number + digit, digit):
        place = numbered(view, int(number))
        if place is not None:
            return replace(view, number=number, pointed=place)
    # Two digits may be on their way: 2 of 21, where 2 itself was done.
    if any(str(one.number).startswith(digit) for one in entries(view)):
        return replace(view, number=digit, pointed=None)
    return replace(view, number="", pointed=None, refusal=f"There is no {view.number + digit} here.")


def _chosen(view: View) -> View:
    found = entries(view)
    if view.kind == "faults" and view.marked:
        return _opened(view, "ending")
    place = 0 if view.narrowing and len(found) == 1 else view.pointed
    if place is None or not 0 <= place < len(found):
        return replace(view, refusal=CHOOSE_FIRST)
    match view.kind:
        case "keys":
            return _listed(_opened(view, ""), found[place].id)
        case "faults":
            return _opened(replace(view, marked=(found[place].id,)), "ending")
        case _:
            return _begun(view, found[place].id)


def _begun(view: View, name: str) -> View:
    """About to do a check: its cautions come before it. What may not be done is refused at once."""
    after = ask(view.drill, name)
    if isinstance(after, Refused):
        return replace(view, refusal=after.sentence)
    pending = replace(_opened(view, ""), check=name, read=0)
    return pending if cautions(view.drill, name) else _done(pending)


def _done(view: View) -> View:
    """Once the check is done."""
    after = ask(view.drill, view.check)
    if isinstance(after, Refused) or after.ended:
        return _moved(view, after)
    how = view.drill.car.case.library.checks[view.check].how
    said = [*([how] if how else []), told.shown(after, after.taken[-1]), told.so_far(after)]
    return replace(_moved(view, after), news=tuple(said))


def _marked(view: View) -> View:
    found = entries(view)
    if view.pointed is None or not 0 <= view.pointed < len(found):
        return replace(view, refusal=CHOOSE_FIRST)
    cause = found[view.pointed].id
    kept = tuple(one for one in view.marked if one != cause)
    return replace(view, marked=kept if cause in view.marked else (*view.marked, cause), number="")


def _narrow(view: View, key: str) -> View:
    """A key while letters go into the field."""
    if key == "enter":
        return _chosen(view)
    if key == "escape" or (key == "backspace" and not view.typed):
        return replace(view, narrowing=False, typed="", pointed=None, line=0)
    if key == " " and view.kind == "faults" and view.pointed is not None and view.pointed >= 0:
        return _marked(view)
    if key in {"backspace", "clear"}:
        return _typed(view, view.typed[:-1] if key == "backspace" else "")
    return _typed(view, view.typed + key) if len(key) == 1 and key.isprintable() else view


def _typed(view: View, text: str) -> View:
    return replace(view, typed=text[:LONGEST], pointed=FIELD, line=0, below=False)


def _other(view: View, key: str) -> View:
    """The keys that mean the same wherever nothing is typed."""
    if key in _BACK:
        # From the question whether this ends it back to the marks.
        return _opened(view, "faults" if view.beside == "ending" else "")
    if key == "q":
        return _opened(view, "leaving")
    if view.kind in {"stop", "care"}:
        return view
    if key == "o":
        return _opened(replace(view, drill=looked_at_odds(view.drill)), "odds")
    if key == "t":
        return _by_tree(view)
    return _opened(view, _BESIDE[key]) if key in _BESIDE else view


def _by_tree(view: View) -> View:
    asked = asked_by_tree(view.drill)
    if isinstance(asked, str):
        return _begun(view, asked)
    return replace(_opened(view, ""), news=(tree_ends(asked) if asked else NO_WAY_ON,))


def _opened(view: View, beside: Beside) -> View:
    """The view with something in the list's place. Marks and news stay."""
    return View(view.drill, news=view.news, beside=beside, marked=view.marked, left=view.left)


def _moved(view: View, after: Drill | Refused) -> View:
    if isinstance(after, Refused):
        return replace(view, refusal=after.sentence, check="")
    return View(after, marked=view.marked)
