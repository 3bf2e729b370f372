"""The walk's view laid out in cells: the question, a column beside it where there is room, the keys. Pure."""

from dataclasses import replace

from diagtree.report.lines import pad
from diagtree.term import scrolling
from diagtree.term.page import Pane, body, keys_shown, question_rows, section_rows, title
from diagtree.term.rows import Row, cut
from diagtree.term.scrolling import AIRY, TOO_SMALL, Laid, Sheet, Spot, assembled, footed, said_too_small, too_small
from diagtree.term.thoughts import Thoughts
from diagtree.term.view import FIELD, TYPING, View, choices

__all__ = ["TOO_SMALL", "Sheet", "in_sight", "lay_out", "move", "too_small", "unread"]

_ROOMY = 30  # rows from which it has room for a large question, and blank rows between the answers
_TIGHT = 16  # rows below which only one blank row is left
_BESIDE = 100  # columns from which there is room for a column beside the question
_READABLE = 96  # columns; longer lines are hard to read
_GAP = 3


def lay_out(view: View, columns: int, rows: int, thoughts: Thoughts) -> Sheet:
    """The screen of this many cells; at least one row and two columns."""
    columns, rows = max(2, columns), max(1, rows)
    if too_small(columns, rows):
        return said_too_small(columns, rows)
    laid = _lay(view, columns, rows, thoughts)
    typing = view.kind in TYPING and laid.text[laid.here].place == FIELD
    return assembled(laid, columns, rows, typing=typing)


def _lay(view: View, columns: int, rows: int, thoughts: Thoughts) -> Laid:
    asking = view.kind in {"pick", "type"} and not view.anew
    main = min(_READABLE, columns * 3 // 5) if asking and columns >= _BESIDE and rows >= AIRY else columns
    main = main if main < columns else min(columns, _READABLE)
    beside = asking and columns >= _BESIDE and rows >= AIRY
    head, foot = _frame(view, (columns, rows), main, thoughts)
    height = max(1, rows - len(head) - len(foot))
    airy = rows >= _ROOMY
    with_question = not any(row.look in {"question", "large"} for row in head)
    text = body(view, Pane(main, height, airy, beside), thoughts, with_question=with_question)
    aside: tuple[Row, ...] = ()
    if beside:
        width = min(_READABLE, columns - main - _GAP)
        aside = _fitted(tuple(section_rows(view, width, thoughts)), rows - len(foot) - 2, width)
    field = FIELD if view.kind in TYPING else None
    laid = scrolling.laid(tuple(head), text, tuple(foot), height, _spot(view), field)
    return replace(laid, aside=aside, start=main + _GAP)


def _spot(view: View) -> Spot:
    return Spot(view.pointed, view.line, view.below)


def _fitted(rows: tuple[Row, ...], height: int, width: int) -> tuple[Row, ...]:
    """As many rows as there is room for; the last then says where the rest is."""
    if len(rows) <= height:
        return rows
    return (*rows[: max(0, height - 1)], Row(cut("... i shows the rest", width), "quiet"))


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


def _frame(view: View, size: tuple[int, int], main: int, thoughts: Thoughts) -> tuple[list[Row], list[Row]]:
    """Head and foot, as much of them as leaves the body a third of the screen."""
    columns, rows = size
    foot, room = footed(keys_shown(view), view.refusal, columns, rows)
    head = [Row(cut(title(view, thoughts), columns), "title")] if room > len(foot) and rows >= AIRY else []
    asked = _question_block(view, main, rows)
    if asked and rows >= AIRY and len(head) + len(asked) + len(foot) <= room:
        head += asked
    return head, foot


def _question_block(view: View, main: int, rows: int) -> list[Row]:
    """The question between blank rows; large, on a plate of its own, where there is room."""
    if rows < _ROOMY:
        asked = question_rows(view, main)
        above = [] if rows < _TIGHT else [Row("")]
        return [*above, *asked, Row("")] if asked else []
    asked = question_rows(view, main - 4)
    plate = [replace(row, text=pad(f"  {row.text}", main), look="large") for row in asked]
    blank = Row(" " * main, "large")
    return [Row(""), blank, *plate, blank, Row("")] if plate else []
