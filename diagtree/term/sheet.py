"""The walk's view laid out in cells: the question, a column beside it where there is room, the keys. Pure."""

from dataclasses import replace

from diagtree.report.lines import pad
from diagtree.term import scrolling
from diagtree.term.asking import BARE, PLANS, Plan, Room
from diagtree.term.facts import Section, sections
from diagtree.term.page import body, keys_shown, question_rows, title
from diagtree.term.rows import Row, cut, section_rows
from diagtree.term.scrolling import AIRY, TOO_SMALL, Laid, Sheet, Spot, assembled, footed, said_too_small, too_small
from diagtree.term.thoughts import Thoughts
from diagtree.term.view import FIELD, TYPING, View, choices, question

__all__ = ["TOO_SMALL", "Sheet", "in_sight", "lay_out", "move", "too_small", "unread"]

_ROOMY = 30  # rows from which it has room for a large question, and blank rows between the answers
_TIGHT = 16  # rows below which only one blank row is left
_BESIDE = 100  # columns from which there is room for a column beside the question
_READABLE = 96  # columns; longer lines are hard to read
_GAP = 3
_LOW = 16  # rows from which what is known is seen at a glance as well


def lay_out(view: View, columns: int, rows: int, thoughts: Thoughts) -> Sheet:
    """The screen of this many cells; at least one row and two columns."""
    columns, rows = max(2, columns), max(1, rows)
    if too_small(columns, rows):
        return said_too_small(columns, rows)
    laid = _lay(view, columns, rows, thoughts)
    typing = view.kind in TYPING and laid.text[laid.here].place == FIELD
    return assembled(laid, columns, rows, typing=typing)


def _lay(view: View, columns: int, rows: int, thoughts: Thoughts) -> Laid:
    asks = question(view) is not None
    asking = asks and not view.anew
    beside = asking and columns >= _BESIDE and rows >= AIRY
    main = min(_READABLE, columns * 3 // 5 if beside else columns)
    room = Room(main, rows >= _ROOMY, beside)
    plans = (*(PLANS if asking and not beside and rows >= _LOW else ()), *BARE) if asks else PLANS[:1]
    for plan in plans:
        parts, wanted = _planned(view, (columns, rows), replace(room, plan=plan), thoughts)
        if wanted <= parts.height:
            break
    if not beside:
        return parts
    width = min(_READABLE, columns - main - _GAP)
    found = sections(view.session, thoughts, width)
    return replace(parts, aside=_fitted(tuple(found), rows - len(parts.foot) - 2, width), start=main + _GAP)


def _planned(view: View, size: tuple[int, int], room: Room, thoughts: Thoughts) -> tuple[Laid, int]:
    """A screen by one plan; and how many rows of its body are to be seen without paging."""
    head, foot = _frame(view, size, room, thoughts)
    height = max(1, size[1] - len(head) - len(foot))
    with_question = not any(row.look in {"question", "large"} for row in head)
    text, wanted = body(view, room, thoughts, with_question=with_question)
    field = FIELD if view.kind in TYPING else None
    return scrolling.laid(tuple(head), text, tuple(foot), height, _spot(view), field), wanted


def _spot(view: View) -> Spot:
    return Spot(view.pointed, view.line, view.below)


def _fitted(found: tuple[Section, ...], height: int, width: int) -> tuple[Row, ...]:
    """As many rows as there is room for; the last then says where the rest is. The advice is always seen."""
    rows = tuple(section_rows(found, width))
    if len(rows) <= height:
        return rows
    first = [one for one in found if one.kind in {"doubt", "advice"}]
    rows = tuple(section_rows((*first, *(one for one in found if one not in first)), width))
    kept = list(rows[: max(0, height - 1)])
    while kept and (not kept[-1].text or kept[-1].look == "heading"):  # a heading without its lines says nothing
        kept.pop()
    return (*kept, Row(cut("... i shows the rest", width), "quiet"))


def unread(view: View, columns: int, rows: int, thoughts: Thoughts) -> bool:
    """Whether some of the text stands below what is seen."""
    return too_small(columns, rows) or _lay(view, columns, rows, thoughts).unread


def in_sight(view: View, place: int, columns: int, rows: int, thoughts: Thoughts) -> bool:
    """Whether all rows of something that can be pointed at are seen."""
    return not too_small(columns, rows) and _lay(view, columns, rows, thoughts).shows(place)


def move(view: View, key: str, size: tuple[int, int], thoughts: Thoughts) -> View:
    """The view after a key that moves: between answers, and past them through the text.

    Args:
        view: before the key.
        key: `up`, `down`, `page-up` or `page-down`.
        size: of the screen: columns and rows, in cells.
        thoughts: what the text holds.
    """
    view = replace(view, refusal="")
    if too_small(*size):
        return view
    spot = scrolling.moved(_spot(view), key, _lay(view, *size, thoughts), choices(view))
    return replace(view, pointed=spot.pointed, line=spot.line, below=spot.below)


def _frame(view: View, size: tuple[int, int], room: Room, thoughts: Thoughts) -> tuple[list[Row], list[Row]]:
    """Head and foot, as much of them as leaves the body a third of the screen."""
    columns, rows = size
    plan = room.plan
    foot, most = footed(keys_shown(view, paged=not plan.how), view.refusal, columns, rows, plan.keys)
    titled = plan.title and most > len(foot) and rows >= AIRY
    head = [Row(cut(title(view, thoughts), columns), "title")] if titled else []
    asked = _question_block(view, room.columns, rows, plan)
    if asked and rows >= AIRY and len(head) + len(asked) + len(foot) <= most:
        head += asked
    return head, foot


def _question_block(view: View, main: int, rows: int, plan: Plan) -> list[Row]:
    """The question between blank rows; large, on a plate of its own, where there is room."""
    if rows < _ROOMY or not plan.above:
        asked = question_rows(view, main)
        above = [Row("")] if plan.above and rows >= _TIGHT else []
        under = [Row("")] if plan.under else []
        return [*above, *asked, *under] if asked else []
    asked = question_rows(view, main - 4)
    plate = [replace(row, text=pad(f"  {row.text}", main), look="large") for row in asked]
    blank = Row(" " * main, "large")
    return [Row(""), blank, *plate, blank, Row("")] if plate else []
