"""Rows of a screen: lines of cells with a look, and how the usual ones are made. Pure."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

from diagtree.model.fault import Caution
from diagtree.report.dialogue import caution_words
from diagtree.report.lines import cells, hang, wrap
from diagtree.term.facts import Section

Look: TypeAlias = Literal["plain", "title", "question", "large", "pointed", "stop", "quiet", "heading", "refusal"]


_NARROW = 60  # columns below which a caution's lines are indented by less than its word


@dataclass(frozen=True, slots=True)
class Row:
    """A line of cells, and what stands beside it."""

    text: str
    look: Look = "plain"
    place: int | None = None  # of the answer, or the field, that it belongs to
    aside: str = ""
    aside_look: Look = "plain"
    start: int = 0  # the cell at which the aside begins

    @property
    def whole(self) -> str:
        """All that the line shows."""
        if not self.aside:
            return self.text
        return f"{self.text}{' ' * max(1, self.start - cells(self.text))}{self.aside}"


def wrapped(lines: Iterable[str], columns: int, look: Look = "plain") -> Iterator[Row]:
    """Lines, each in as many rows as it takes; an empty one is a blank row."""
    for line in lines:
        yield from (Row(piece, look) for piece in (wrap(line, columns) or [""]))


def hung(head: str, text: str, indent: int, columns: int) -> list[str]:
    """`hang` where the pane has room for the indent, else one text."""
    return hang(head, text, indent, columns) if columns >= 2 * indent else wrap(f"{head.strip()} {text}", columns)


def news_rows(news: Iterable[str], columns: int) -> list[Row]:
    """What the last reply came to."""
    return [Row(line) for one in news for line in hung("*", one, 2, columns)]


def caution_rows(caution: Caution, columns: int) -> list[Row]:
    """A caution, below the word for how grave it is."""
    look: Look = "stop" if caution.level == "stop" else "plain"
    head = f"{caution_words(caution)}:"
    if columns >= _NARROW:
        return [Row(line, look) for line in hung(head, caution.say, 9, columns)]
    first, *more = wrap(f"{head} {caution.say}", columns)
    return [Row(first, look), *(Row(f"  {line}", look) for line in wrap(" ".join(more), max(2, columns - 2)))]


def section_rows(sections: Iterable[Section], columns: int) -> Iterator[Row]:
    """Headings, and their lines below them."""
    for place, section in enumerate(sections):
        if place:
            yield Row("")
        yield from (Row(piece, "heading") for piece in wrap(section.title, columns))
        look: Look = "stop" if section.warns else "plain"
        for line in section.lines:
            yield from (Row(piece, look) for piece in hung(f" {line.head}", line.text, cells(line.head) + 2, columns))


def field_row(typed: str, place: int, columns: int, *, pointed: bool) -> Row:
    """A field with what was typed: its end, where it is longer than the pane."""
    shown = typed[-2 * columns :]
    while shown and cells(shown) > columns - 4:
        shown = shown[1:]
    return Row(f"> {shown}", "pointed" if pointed else "plain", place)


def cut(text: str, columns: int) -> str:
    """As much of the text as has room."""
    text = text[: 2 * columns]  # a long text is not measured again for each of its characters
    while cells(text) > columns:
        text = text[:-1]
    return text


def flowed(words: Iterable[str], columns: int, gap: int = 3) -> list[str]:
    """The words in lines, `gap` blanks between them, none broken unless it is wider than a line."""
    lines: list[str] = []
    for word in words:
        if lines and cells(lines[-1]) + gap + cells(word) <= columns:
            lines[-1] += f"{' ' * gap}{word}"
        else:
            lines += wrap(word, columns)
    return lines
