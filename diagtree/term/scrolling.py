"""A screen in parts: a head that stays, a body that scrolls, a foot; where the reader is in it. Pure."""

from dataclasses import dataclass, replace

from diagtree.report.lines import cells, wrap
from diagtree.term.rows import Row, cut, flowed

SMALLEST = (20, 5)  # columns and rows
TOO_SMALL = f"Too small: make it {SMALLEST[0]}x{SMALLEST[1]}."
ALL_KEYS = "Tab all keys"
AIRY = 10  # rows from which a screen has room for a title and blank rows
_CLOSE = 2  # blanks between keys that have too little room
_LOW, _FLAT = 8, 13  # rows below which the keys have one row, and two


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole screen: at most as many rows as it has, none wider than it is."""

    rows: tuple[Row, ...]
    cursor: tuple[int, int]  # row and cell, from 0


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the reader is."""

    pointed: int | None = None  # what is pointed at; None: the reader is in the text
    line: int = 0  # of the body, where the reader is in the text
    below: bool = False  # whether that is past what can be pointed at


@dataclass(frozen=True, slots=True)
class Laid:
    """A view's parts on a screen of a certain size."""

    head: tuple[Row, ...]
    text: tuple[Row, ...]  # the body, all of it; at least one row
    foot: tuple[Row, ...]
    height: int  # rows of the body that are seen
    here: int  # the row of the text where the cursor is
    top: int  # the first row of the text that is seen
    aside: tuple[Row, ...] = ()  # of the column beside head and body
    start: int = 0  # the cell at which that begins

    @property
    def bottom(self) -> int:
        """The first row of the text below what is seen."""
        return self.top + self.height

    @property
    def unread(self) -> bool:
        """Whether some of the text stands below what is seen."""
        return self.bottom < len(self.text)

    @property
    def places(self) -> tuple[int, ...]:
        """The rows of the text that can be pointed at."""
        return tuple(at for at, row in enumerate(self.text) if row.place is not None)

    def shows(self, place: int) -> bool:
        """Whether all rows of something that can be pointed at are seen."""
        at = [row for row in self.places if self.text[row].place == place]
        return bool(at) and self.top <= at[0] and at[-1] < self.bottom


def too_small(columns: int, rows: int) -> bool:
    """Whether a screen has no room for a dialogue. One column is kept free, so that a screen of 20 has 19."""
    return columns < SMALLEST[0] - 1 or rows < SMALLEST[1]


def said_too_small(columns: int, rows: int) -> Sheet:
    """The screen that says so."""
    said = [Row(line) for line in wrap(TOO_SMALL, columns)][:rows]
    return Sheet((*said, *(Row("") for _ in range(rows - len(said)))), (0, 0))


def laid(  # noqa: PLR0913, PLR0917  # the parts of a screen
    head: tuple[Row, ...],
    text: tuple[Row, ...],
    foot: tuple[Row, ...],
    height: int,
    spot: Spot,
    field: int | None = None,
) -> Laid:
    """The parts, scrolled to where the reader is.

    Args:
        head: that stays.
        text: that scrolls; at least one row.
        foot: that stays.
        height: rows of the text that are seen.
        spot: where the reader is.
        field: the place of the field, where something is being typed.
    """
    here = _where(spot, text, height, field)
    return Laid(head, text, foot, height, here, _top(text, here, height, pointing=spot.pointed is not None))


def assembled(parts: Laid, columns: int, rows: int, *, typing: bool) -> Sheet:
    """The screen of this many cells. `typing`: whether the cursor's row is a field: then it stands behind the text."""
    shown = parts.text[parts.top : parts.bottom]
    # A pane narrower than any indent is cut, not overrun.
    shown = tuple(row if cells(row.text) <= columns else replace(row, text=cut(row.text, columns)) for row in shown)
    filled = (*shown, *(Row("") for _ in range(parts.height - len(shown))))
    at = min(len(parts.head) + parts.here - parts.top, rows - 1)
    return Sheet(
        (*_joined((*parts.head, *filled), parts), *parts.foot)[:rows],
        (at, min(cells(parts.text[parts.here].text), columns - 1) if typing else 0),
    )


def moved(spot: Spot, key: str, parts: Laid, choices: int) -> Spot:
    """Where the reader is after `up`, `down`, `page-up` or `page-down`: between choices, and past them in the text."""
    page = max(1, parts.height - 1)
    if key in {"page-up", "page-down"}:
        return _scrolled(spot, parts, page if key == "page-down" else -page)
    step = 1 if key == "down" else -1
    if spot.pointed is not None and 0 <= spot.pointed + step < choices:
        return replace(spot, pointed=spot.pointed + step)
    if spot.pointed is None and (row := _nearest(spot, parts, step)) is not None:
        return replace(spot, pointed=parts.text[row].place)
    return _scrolled(spot, parts, step)


def keys_lines(keys: list[str], columns: int, rows: int, most: int = 9) -> list[str]:
    """The keys in at most so many lines; where they don't fit the most needed, and the key that shows all."""
    most = min(most, 1 if rows < _LOW else 2 if rows < _FLAT else max(3, rows // 8))
    lines = flowed(keys, columns)
    if len(lines) > most:
        lines = flowed(keys, columns, _CLOSE)
    kept = [key for key in keys if key != ALL_KEYS]
    last = [ALL_KEYS] if ALL_KEYS in keys else []
    while kept and len(lines) > most:
        kept.pop()
        lines = flowed([*kept, *last], columns, _CLOSE)
    return lines[:most]


def footed(keys: list[str], refusal: str, columns: int, rows: int, most: int = 9) -> tuple[list[Row], int]:
    """Refusal and keys (in at most so many rows) below the body; and how many rows head and foot may take together."""
    shown = [Row(line, "quiet") for line in keys_lines(keys, columns, rows, most)]
    refused = [Row(line, "refusal") for line in wrap(refusal, columns)]
    room = rows - max(3, rows // 3)
    return [*refused[: max(1, room - len(shown))], *shown][: max(1, room)], room


def _joined(rows: tuple[Row, ...], parts: Laid) -> tuple[Row, ...]:
    """Rows with the column beside them, which begins under the title."""
    if not parts.aside:
        return rows
    beside = (Row(""), *parts.aside, *(Row("") for _ in rows))
    return tuple(
        replace(row, aside=at.text, aside_look=at.look, start=parts.start) if at.text else row
        for row, at in zip(rows, beside, strict=False)
    )


def _nearest(spot: Spot, parts: Laid, step: int) -> int | None:
    """The row to point at, coming out of the text; None where the text goes on first."""
    places = parts.places
    seen = [at for at in places if parts.top <= at < parts.bottom]
    if not seen:
        return None
    if step > 0:
        return seen[0] if not spot.below or places[-1] >= parts.bottom else None
    return seen[-1] if spot.below else None


def _scrolled(spot: Spot, parts: Laid, by: int) -> Spot:
    """The text moved under the reader, who then points at nothing; the same where it is at its end."""
    top = min(max(0, parts.top + by), max(0, len(parts.text) - parts.height))
    if top == parts.top:
        return spot
    below = by > 0 if spot.pointed is not None else spot.below
    if abs(by) > 1:  # by pages: past the choices once the first of them is out of sight
        below = bool(parts.places) and parts.places[0] < top
    return Spot(None, top + parts.height - 1 if top else 0, below)


def _where(spot: Spot, text: tuple[Row, ...], height: int, field: int | None) -> int:
    """The row of the text where the cursor stands."""
    pointed = spot.pointed
    if pointed is None and field is not None and spot.line == 0:
        pointed = field  # where the field is seen with the text from its top, typing begins at once
        if next((at for at, row in enumerate(text) if row.place == field), height) >= height:
            return 0
    if pointed is not None:
        return next((at for at, row in enumerate(text) if row.place == pointed), 0)
    return min(spot.line, len(text) - 1)


def _top(text: tuple[Row, ...], here: int, height: int, *, pointing: bool) -> int:
    """The first row shown: the top of the text if the cursor is in reach, else all of what it points at."""
    place = text[here].place if pointing else None
    end = here
    while place is not None and end + 1 < len(text) and text[end + 1].place == place:
        end += 1
    return min(here, max(0, end - height + 1))
