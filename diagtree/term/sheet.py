"""A view laid out in cells: a head that stays, a body that scrolls, a column beside it, a foot with the keys. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from diagtree.report.lines import cells, pad, wrap
from diagtree.term.page import Pane, Row, body, keys_shown, question_rows, section_rows, title
from diagtree.term.thoughts import Thoughts
from diagtree.term.view import FIELD, TYPING, View, choices

_AIRY = 10  # rows from which a screen has room for a title and blank rows
_ROOMY = 30  # rows from which it has room for a large question, and blank rows between the answers
_TIGHT = 16  # rows below which only one blank row is left
_LOW, _FLAT = 8, 13  # rows below which the keys have one row, and two
_BESIDE = 100  # columns from which there is room for a column beside the question
_READABLE = 96  # columns; longer lines are hard to read
_GAP = 3
SMALLEST = (20, 5)  # columns and rows
TOO_SMALL = f"Too small: make it {SMALLEST[0]}x{SMALLEST[1]}."
ALL_KEYS = "Tab all keys"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole screen: at most as many rows as it has, none wider than it is."""

    rows: tuple[Row, ...]
    cursor: tuple[int, int]  # row and cell, from 0


@dataclass(frozen=True, slots=True)
class _Laid:
    """A view's parts on a screen of a certain size."""

    head: tuple[Row, ...]
    text: tuple[Row, ...]  # the body, all of it; at least one row
    foot: tuple[Row, ...]
    aside: tuple[Row, ...]  # of the column beside head and body
    start: int  # the cell at which that begins
    height: int  # rows of the body that are seen
    here: int  # the row of the text where the cursor is
    top: int  # the first row of the text that is seen

    @property
    def bottom(self) -> int:
        """The first row of the text below what is seen."""
        return self.top + self.height

    @property
    def places(self) -> tuple[int, ...]:
        """The rows of the text that can be pointed at."""
        return tuple(at for at, row in enumerate(self.text) if row.place is not None)


def lay_out(view: View, columns: int, rows: int, thoughts: Thoughts) -> Sheet:
    """The screen of this many cells; at least one row and two columns."""
    columns, rows = max(2, columns), max(1, rows)
    if too_small(columns, rows):
        said = [Row(line) for line in wrap(TOO_SMALL, columns)][:rows]
        return Sheet((*said, *(Row("") for _ in range(rows - len(said)))), (0, 0))
    laid = _lay(view, columns, rows, thoughts)
    shown = laid.text[laid.top : laid.bottom]
    # A pane narrower than any indent is cut, not overrun.
    shown = tuple(row if cells(row.text) <= columns else replace(row, text=_cut(row.text, columns)) for row in shown)
    filled = (*shown, *(Row("") for _ in range(laid.height - len(shown))))
    at = min(len(laid.head) + laid.here - laid.top, rows - 1)
    typing = view.kind in TYPING and laid.text[laid.here].place == FIELD
    return Sheet(
        (*_joined((*laid.head, *filled), laid), *laid.foot)[:rows],
        (at, min(cells(laid.text[laid.here].text), columns - 1) if typing else 0),
    )


def too_small(columns: int, rows: int) -> bool:
    """Whether a screen has no room for a walk. One column is kept free, so that a screen of 20 has 19."""
    return columns < SMALLEST[0] - 1 or rows < SMALLEST[1]


def _joined(rows: tuple[Row, ...], laid: _Laid) -> Iterable[Row]:
    """Rows with the column beside them, which begins under the title."""
    if not laid.aside:
        return rows
    beside = (Row(""), *laid.aside, *(Row("") for _ in rows))
    return (
        replace(row, aside=at.text, aside_look=at.look, start=laid.start) if at.text else row
        for row, at in zip(rows, beside, strict=False)
    )


def _lay(view: View, columns: int, rows: int, thoughts: Thoughts) -> _Laid:
    asking = view.kind in {"pick", "type"} and not view.anew
    main = min(_READABLE, columns * 3 // 5) if asking and columns >= _BESIDE and rows >= _AIRY else columns
    main = main if main < columns else min(columns, _READABLE)
    beside = asking and columns >= _BESIDE and rows >= _AIRY
    head, foot = _frame(view, (columns, rows), main, thoughts)
    height = max(1, rows - len(head) - len(foot))
    airy = rows >= _ROOMY
    with_question = not any(row.look in {"question", "large"} for row in head)
    text = body(view, Pane(main, height, airy, beside), thoughts, with_question=with_question)
    aside: tuple[Row, ...] = ()
    if beside:
        width = min(_READABLE, columns - main - _GAP)
        aside = _fitted(tuple(section_rows(view, width, thoughts)), rows - len(foot) - 2, width)
    here = _where(view, text, height)
    top = _top(text, here, height, pointing=view.pointed is not None)
    return _Laid(tuple(head), text, tuple(foot), aside, main + _GAP, height, here, top)


def _fitted(rows: tuple[Row, ...], height: int, width: int) -> tuple[Row, ...]:
    """As many rows as there is room for; the last then says where the rest is."""
    if len(rows) <= height:
        return rows
    return (*rows[: max(0, height - 1)], Row(_cut("... i shows the rest", width), "quiet"))


def unread(view: View, columns: int, rows: int, thoughts: Thoughts) -> bool:
    """Whether some of the text stands below what is seen."""
    if too_small(columns, rows):
        return True
    laid = _lay(view, columns, rows, thoughts)
    return laid.bottom < len(laid.text)


def in_sight(view: View, place: int, columns: int, rows: int, thoughts: Thoughts) -> bool:
    """Whether all rows of something that can be pointed at are seen."""
    if too_small(columns, rows):
        return False
    laid = _lay(view, columns, rows, thoughts)
    at = [row for row in laid.places if laid.text[row].place == place]
    return bool(at) and laid.top <= at[0] and at[-1] < laid.bottom


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
    laid = _lay(view, *size, thoughts)
    page = max(1, laid.height - 1)
    if key in {"page-up", "page-down"}:
        return _scrolled(view, laid, page if key == "page-down" else -page)
    step = 1 if key == "down" else -1
    if view.pointed is not None and 0 <= view.pointed + step < choices(view):
        return replace(view, pointed=view.pointed + step)
    if view.pointed is None and (row := _nearest(view, laid, step)) is not None:
        return replace(view, pointed=laid.text[row].place)
    return _scrolled(view, laid, step)


def _nearest(view: View, laid: _Laid, step: int) -> int | None:
    """The row to point at, coming out of the text; None where the text goes on first."""
    places = laid.places
    seen = [at for at in places if laid.top <= at < laid.bottom]
    if not seen:
        return None
    if step > 0:
        return seen[0] if not view.below or places[-1] >= laid.bottom else None
    return seen[-1] if view.below else None


def _scrolled(view: View, laid: _Laid, by: int) -> View:
    """The text moved under the reader, who then points at nothing; the same view where it is at its end."""
    top = min(max(0, laid.top + by), max(0, len(laid.text) - laid.height))
    if top == laid.top:
        return view
    below = by > 0 if view.pointed is not None else view.below
    if abs(by) > 1:  # by pages: past the answers once the first of them is out of sight
        below = bool(laid.places) and laid.places[0] < top
    return replace(view, pointed=None, line=top + laid.height - 1 if top else 0, below=below)


def _frame(view: View, size: tuple[int, int], main: int, thoughts: Thoughts) -> tuple[list[Row], list[Row]]:
    """Head and foot, as much of them as leaves the body a third of the screen."""
    columns, rows = size
    keys = [Row(line, "quiet") for line in _keys(view, columns, rows)]
    refusal = [Row(line, "refusal") for line in wrap(view.refusal, columns)]
    room = rows - max(3, rows // 3)
    foot = [*refusal[: max(1, room - len(keys))], *keys][: max(1, room)]
    head = [Row(_cut(title(view, thoughts), columns), "title")] if room > len(foot) and rows >= _AIRY else []
    asked = _question_block(view, main, rows)
    if asked and rows >= _AIRY and len(head) + len(asked) + len(foot) <= room:
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


def _keys(view: View, columns: int, rows: int) -> list[str]:
    """The keys in lines; where they don't fit the most needed, and the key that shows all."""
    shown = keys_shown(view)
    most = 1 if rows < _LOW else 2 if rows < _FLAT else max(3, rows // 8)
    lines = _flow(shown, columns)
    if len(lines) <= most:
        return lines
    kept = [key for key in shown if key != ALL_KEYS]
    last = [ALL_KEYS] if ALL_KEYS in shown else []
    while kept and len(_flow([*kept, *last], columns)) > most:
        kept.pop()
    return _flow([*kept, *last], columns)[:most]


def _flow(words: list[str], columns: int) -> list[str]:
    """The words in lines, none broken unless it is wider than a line."""
    lines: list[str] = []
    for word in words:
        if lines and cells(lines[-1]) + 3 + cells(word) <= columns:
            lines[-1] += f"   {word}"
        else:
            lines += wrap(word, columns)
    return lines


def _where(view: View, text: tuple[Row, ...], height: int) -> int:
    """The row of the text where the cursor stands."""
    pointed = view.pointed
    if pointed is None and view.kind in TYPING and view.line == 0:
        pointed = FIELD  # where the field is seen with the text from its top, typing begins at once
        if next((at for at, row in enumerate(text) if row.place == FIELD), height) >= height:
            return 0
    if pointed is not None:
        return next((at for at, row in enumerate(text) if row.place == pointed), 0)
    return min(view.line, len(text) - 1)


def _top(text: tuple[Row, ...], here: int, height: int, *, pointing: bool) -> int:
    """The first row shown: the top of the text if the cursor is in reach, else all of what it points at."""
    place = text[here].place if pointing else None
    end = here
    while place is not None and end + 1 < len(text) and text[end + 1].place == place:
        end += 1
    return min(here, max(0, end - height + 1))


def _cut(text: str, columns: int) -> str:
    text = text[: 2 * columns]  # a long text is not measured again for each of its characters
    while cells(text) > columns:
        text = text[:-1]
    return text
