"""A view laid out in cells: a head that stays, a body that scrolls, a foot with the keys. Pure."""

from dataclasses import dataclass, replace

from diagtree.report.lines import cells, wrap
from diagtree.term.page import Row, body, keys_shown, question_rows, title
from diagtree.term.view import FIELD, TYPING, View, choices

_AIRY = 10  # rows from which a screen has room for a title and blank rows


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


def lay_out(view: View, columns: int, rows: int) -> Sheet:
    """The screen of this many cells; at least one row and two columns."""
    columns, rows = max(2, columns), max(1, rows)
    laid = _lay(view, columns, rows)
    shown = laid.text[laid.top : laid.bottom]
    # A pane narrower than any indent is cut, not overrun.
    shown = tuple(row if cells(row.text) <= columns else replace(row, text=_cut(row.text, columns)) for row in shown)
    filled = (*shown, *(Row("") for _ in range(laid.height - len(shown))))
    at = min(len(laid.head) + laid.here - laid.top, rows - 1)
    typing = view.kind in TYPING and laid.text[laid.here].place == FIELD
    return Sheet(
        (*laid.head, *filled, *laid.foot)[:rows],
        (at, min(cells(laid.text[laid.here].text), columns - 1) if typing else 0),
    )


def _lay(view: View, columns: int, rows: int) -> _Laid:
    head, foot = _frame(view, columns, rows)
    text = body(view, columns, with_question=not any(row.look == "question" for row in head))
    height = max(1, rows - len(head) - len(foot))
    here = _where(view, text, height)
    pointing = view.pointed is not None
    return _Laid(tuple(head), text, tuple(foot), height, here, _top(text, here, height, pointing=pointing))


def unread(view: View, columns: int, rows: int) -> bool:
    """Whether some of the text stands below what is seen."""
    laid = _lay(view, columns, rows)
    return laid.bottom < len(laid.text)


def move(view: View, key: str, columns: int, rows: int) -> View:
    """The view after a key that moves: between answers, and past them through the text.

    Args:
        view: before the key.
        key: `up`, `down`, `page-up` or `page-down`.
        columns: of the screen, in cells.
        rows: of the screen.
    """
    view = replace(view, refusal="")
    laid = _lay(view, columns, rows)
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


def _frame(view: View, columns: int, rows: int) -> tuple[list[Row], list[Row]]:
    """Head and foot, as much of them as leaves the body a third of the screen."""
    keys = [Row(line, "quiet") for line in _flow(keys_shown(view), columns)]
    refusal = [Row(line, "refusal") for line in wrap(view.refusal, columns)]
    room = rows - max(3, rows // 3)
    foot = [*refusal[: max(1, room // 2)], *keys]
    foot = foot[: max(0, room)]
    head = [Row(_cut(title(view), columns), "title")] if room > len(foot) and rows >= _AIRY else []
    asked = [Row(""), *asked, Row("")] if (asked := question_rows(view, columns)) else []
    if asked and rows >= _AIRY and len(head) + len(asked) + len(foot) <= room:
        head += asked
    return head, foot


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
