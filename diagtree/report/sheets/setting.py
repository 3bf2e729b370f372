"""Type of a sheet: sizes, and text broken into lines. No text is ever read as mark-up: it is measured and placed."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagtree.draw.bidi import joined
from diagtree.draw.font import clean, face
from diagtree.report.lines import words
from diagtree.report.sheets.marks import Span, Words


@dataclass(frozen=True, slots=True)
class Style:
    """A size of type, in points, and how far a line is from the next."""

    size: float
    bold: bool = False

    @property
    def leading(self) -> float:
        """From baseline to baseline."""
        return 1.28 * self.size

    @property
    def rise(self) -> float:
        """From a line's top to its baseline."""
        return 0.97 * self.size


TITLE = Style(17, bold=True)
SUBJECT = Style(12, bold=True)
HEADING = Style(11.5, bold=True)
STRONG = Style(9.5, bold=True)
TEXT = Style(9)
LABEL = Style(7.5)
SMALL = Style(7.5)
SMALLEST = 7.0  # any print, so that a worn printer still gives it
FOOT = Style(SMALLEST)


def width(text: str, style: Style) -> float:
    """How wide a text is, in points."""
    return face(bold=style.bold).width(text, style.size)


def fill(text: str, style: Style, room: float) -> list[str]:
    """A text in lines as full as they get, none wider than `room`; one empty line for an empty text.

    A figure and its unit stay together. A word wider than the room is cut between characters.
    """
    lines = [""]
    for word in words(joined(clean(text))):
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if width(longer, style) <= room:
            lines[-1] = longer
            continue
        pieces = list(_pieces(word, style, room))
        lines[-1:] = [lines[-1], *pieces] if lines[-1] else pieces
    return lines


def _pieces(word: str, style: Style, room: float) -> Iterator[str]:
    piece = ""
    for character in word:
        if piece and width(piece + character, style) > room:
            yield piece.rstrip()
            piece = ""
        piece += character
    yield piece


def one_line(text: str, style: Style, room: float) -> str:
    """A text on one line: cut, with an ellipsis, where it is wider than the room. For heads of pages alone."""
    said = joined(clean(text))
    if width(said, style) <= room:
        return said
    while said and width(f"{said}…", style) > room:
        said = said[: -max(1, len(said) // 16)]
    return f"{said.rstrip()}…"


def line(text: str, style: Style, span: Span, top: float) -> Words:
    """One line of words, its top at `top`."""
    return Words(text, span.left, top + style.rise, width(text, style), span.room, style.size, style.bold)


def lines(said: list[str], style: Style, span: Span, top: float) -> list[Words]:
    """Lines below one another, the first one's top at `top`."""
    return [line(text, style, span, top + number * style.leading) for number, text in enumerate(said) if text]
