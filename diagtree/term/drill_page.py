"""A drill laid out in cells: the checks with their prices, the answers so far, the review, the keys. Pure."""

from collections.abc import Iterator
from dataclasses import replace

from diagtree.report import drill as told
from diagtree.report.lines import wrap
from diagtree.term import scrolling
from diagtree.term.drill_keys import END_KEY
from diagtree.term.drill_view import (
    ACTIONS,
    FIELD,
    Entry,
    Judge,
    View,
    entries,
    milder,
    read_key,
    unread_stops,
)
from diagtree.term.rows import Look, Row, caution_rows, cut, field_row, hung, news_rows, wrapped
from diagtree.term.scrolling import AIRY, Laid, Sheet, Spot, assembled, footed, said_too_small, too_small

WORKING = "Working out what each choice was worth ..."
_READABLE = 96  # columns; longer lines are hard to read
_BESIDE = 100  # columns from which there is room for a column beside the list
_TIGHT = 16  # rows below which there is no blank row around the question
_GAP = 3
_QUESTIONS = {
    "": "Which check?",
    "faults": "What is to be mended?",
    "ending": "This ends it",
    "leaving": "Leave without a result?",
    "odds": "What the answers leave likely",
    "paid": "So far",
    "keys": "All keys",
}
_HELP = (
    "A number points at a check, Enter does it and pays for it. Arrows point too.",
    "Among the faults Space marks one; Enter then asks once whether this ends it.",
    "Before a STOP caution is passed it wants the key that it names.",
    "PgUp and PgDn read on. Esc goes back. Ctrl-C stops at once, Ctrl-L draws the screen anew.",
)


def lay_out(view: View, columns: int, rows: int, judged: Judge) -> Sheet:
    """The screen of this many cells; at least one row and two columns."""
    columns, rows = max(2, columns), max(1, rows)
    if too_small(columns, rows):
        return said_too_small(columns, rows)
    parts = _lay(view, columns, rows, judged)
    typing = view.narrowing and parts.text[parts.here].place == FIELD
    return assembled(parts, columns, rows, typing=typing)


def unread(view: View, size: tuple[int, int], judged: Judge) -> bool:
    """Whether some of the text stands below what is seen."""
    return too_small(*size) or _lay(view, *size, judged).unread


def in_sight(view: View, place: int, size: tuple[int, int], judged: Judge) -> bool:
    """Whether all of an entry is seen."""
    return not too_small(*size) and _lay(view, *size, judged).shows(place)


def move(view: View, key: str, size: tuple[int, int], judged: Judge) -> View:
    """The view after `up`, `down`, `page-up` or `page-down`."""
    view = replace(view, refusal="", number="")
    if too_small(*size):
        return view
    spot = scrolling.moved(_spot(view), key, _lay(view, *size, judged), len(entries(view)))
    return replace(view, pointed=spot.pointed, line=spot.line, below=spot.below)


def _spot(view: View) -> Spot:
    return Spot(view.pointed, view.line, view.below)


def _lay(view: View, columns: int, rows: int, judged: Judge) -> Laid:
    beside = view.kind == "checks" and columns >= _BESIDE and rows >= AIRY
    main = min(_READABLE, columns * 3 // 5 if beside else columns)
    foot, room = footed(_keys(view), view.refusal, columns, rows)
    head: list[Row] = []
    question = [Row(line, "question") for line in wrap(_question(view), main)]
    if room > len(foot) and rows >= AIRY:
        head = [Row(cut(_title(view), columns), "title")]
        blank = [Row("")] if rows >= _TIGHT else []
        block = [*blank, *question, *blank]
        if len(head) + len(block) + len(foot) <= room:
            head, question = [*head, *block], []
    height = max(1, rows - len(head) - len(foot))
    text = (*question, *_body(view, main, judged, beside=beside)) or (Row(""),)
    parts = scrolling.laid(tuple(head), text, tuple(foot), height, _spot(view), FIELD if view.narrowing else None)
    if not beside:
        return parts
    aside = list(wrapped(_so_far(view), columns - main - _GAP))
    return replace(parts, aside=tuple(aside[: rows - len(foot) - 2]), start=main + _GAP)


def _title(view: View) -> str:
    drill = view.drill
    where = "end" if drill.ended else told.amounts(drill)
    return f" {drill.car.case.tree.title} | {where}"


def _question(view: View) -> str:
    match view.kind:
        case "review":
            return "What it was worth"
        case "stop" | "care":
            return "Before it is done"
        case _:
            return _QUESTIONS[view.beside]


def _keys(view: View) -> list[str]:
    """Every key that does something here, the most needed first."""
    acts = [f"{one.key} {one.short}" for one in ACTIONS if one.key not in "hq"]
    match view.kind:
        case "stop":
            keys = [f"{read_key(view)} I have read this", "Arrows read on", "Esc as before"]
        case "care":
            keys = ["Enter does it", "Esc as before", "Arrows read on"]
        case "review":
            keys = ["Arrows, PgUp, PgDn read on", "q leave"]
        case _ if view.narrowing:
            keys = ["Type a part of a name", "Arrows and Enter", "Esc all of them"]
            keys += ["Space marks" if view.kind == "faults" else "", "Ctrl-U clear"]
        case "checks":
            keys = ["Number or arrows, Enter does it", *acts, "PgUp PgDn", scrolling.ALL_KEYS, "q leave"]
        case "faults":
            keys = ["Number or arrows, Space marks", "Enter names them", "Esc as before", "/ narrow", "q leave"]
        case "keys":
            keys = ["The key, or arrows and Enter", "Esc as before"]
        case _:
            first = {"ending": f"{END_KEY} this ends it", "leaving": "q leave"}.get(view.beside, "")
            keys = [first, "Esc as before", "Arrows, PgUp, PgDn read on"]
    return [key for key in (*keys, "Ctrl-C stop") if key]


def _body(view: View, columns: int, judged: Judge, *, beside: bool) -> tuple[Row, ...]:
    match view.kind:
        case "stop":
            first, *more = unread_stops(view)
            ahead = f" {len(more)} more to read." if more else ""
            said = f"Press {read_key(view)} when you have read this.{ahead}"
            return (*_about(view, columns), *caution_rows(first, columns), Row(""), *wrapped([said], columns))
        case "care":
            rows = [row for one in milder(view) for row in caution_rows(one, columns)]
            return (*_about(view, columns), *rows, Row(""), *wrapped(["Enter does it."], columns))
        case "review":
            return tuple(_review(view, columns, judged))
        case "page":
            return tuple(wrapped(_page(view), columns))
        case _:
            return tuple(_listed(view, columns, beside=beside))


def _about(view: View, columns: int) -> Iterator[Row]:
    """The check about to be done."""
    check = view.drill.car.case.library.checks[view.check]
    yield from wrapped([told.priced(view.drill, view.check), *([check.how] if check.how else []), ""], columns)


def _review(view: View, columns: int, judged: Judge) -> Iterator[Row]:
    lines = judged(columns)
    if lines is not None:
        yield from (Row(line) for line in lines)
        return
    yield from wrapped([*told.plain_facts(view.drill), "", WORKING], columns)


def _page(view: View) -> list[str]:
    drill = view.drill
    match view.beside:
        case "ending":
            return [*told.naming(drill, view.marked), "", f"It can't be taken back. Press {END_KEY} to end it."]
        case "leaving":
            return ["What was done so far is then gone. Press q once more to leave."]
        case "odds":
            return [*told.odds(drill), "", "That you looked is told at the end."]
        case _:
            return _so_far(view)


def _so_far(view: View) -> list[str]:
    """What was paid, what is off, and the answers."""
    drill = view.drill
    return [told.so_far(drill), *(f"{at}. {told.shown(drill, one)}" for at, one in enumerate(drill.taken, start=1))]


def _listed(view: View, columns: int, *, beside: bool) -> Iterator[Row]:
    """The news, then what may be pointed at, then what stands below it."""
    drill, found = view.drill, entries(view)
    if view.kind == "checks":
        above = [*news_rows(view.news, columns)] if view.news else list(wrapped(_arrival(view), columns))
        yield from (*above, *([Row("")] if above else []))
    if view.narrowing:
        yield field_row(view.typed, FIELD, columns, pointed=view.pointed == FIELD)
    for place, one in enumerate(found):
        yield from _entry(view, place, one, columns)
    if not found:
        yield from wrapped(["None of that name." if view.narrowing else "No check is left."], columns)
    if view.kind == "keys":
        yield from (Row(""), *wrapped(_HELP, columns))
    if view.kind == "checks" and drill.taken and not beside:
        yield from (Row(""), *wrapped(_so_far(view), columns))


def _arrival(view: View) -> list[str]:
    return [] if view.drill.taken else told.arrival(view.drill)


def _entry(view: View, place: int, one: Entry, columns: int) -> Iterator[Row]:
    pointed = view.pointed == place
    look: Look = "pointed" if pointed else "plain"
    known_by = f" {one.id}" if view.kind == "keys" else f"{one.number:>2}"
    text = one.text
    if view.kind == "faults":
        text = f"[{'x' if one.id in view.marked else ' '}] {text}"
    yield from (Row(line, look, place) for line in hung(f"{'>' if pointed else ' '}{known_by} ", text, 5, columns))
