"""Type of a sheet: sizes, and text broken into lines. No text is ever read as mark-up: it is measured and placed."""

import re
import unicodedata
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
# A soft hyphen: in the file the word can be found and copied whole (ISO 32000-1, 14.8.2.2.3; from memory).
_HYPHEN = "\N{SOFT HYPHEN}"
_HYPHENATED = ("LATIN", "GREEK", "CYRILLIC")
SMALLEST = 7.0  # any print, so that a worn printer still gives it
FOOT = Style(SMALLEST)


def width(text: str, style: Style) -> float:
    """How wide a text is, in points."""
    return face(bold=style.bold).width(text, style.size)


def fill(text: str, style: Style, room: float) -> list[str]:
    """A text in lines as full as they get, none wider than `room`; one empty line for an empty text.

    A figure and its unit stay together. A word wider than the room is cut between characters: with a hyphen in letters
    that are hyphenated, without one in numbers and codes, which somebody may type as they stand.
    """
    lines = [""]
    for word in words(joined(clean(text))):
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if width(longer, style) <= room:
            lines[-1] = longer
            continue
        pieces = list(_pieces(word, style, room, _hyphen(word, style, room)))
        lines[-1:] = [lines[-1], *pieces] if lines[-1] else pieces
    return lines


def fill_groups(text: str, style: Style, room: float) -> list[str]:
    """A text to be typed, in lines that end between its groups: behind a dash, or at a blank."""
    lines = [""]
    for group in re.split(r"(?<=[- ])", clean(text)):
        if width(f"{lines[-1]}{group}".rstrip(), style) <= room:
            lines[-1] += group
            continue
        lines += _pieces(group, style, room, "")
    return [one.strip() for one in lines if one.strip()] or [""]


def _pieces(word: str, style: Style, room: float, hyphen: str) -> Iterator[str]:
    piece = ""
    for at, character in enumerate(word):
        last = at == len(word) - 1
        if piece and width(piece + character + ("" if last else hyphen), style) > room:
            broken = hyphen and piece[-1].isalpha() and character.isalpha()
            yield f"{piece.rstrip()}{hyphen if broken else ''}"
            piece = ""
        piece += character
    yield piece


def _hyphen(word: str, style: Style, room: float) -> str:
    """What ends a line within a word: nothing where it is not of letters that are hyphenated, or there is no room."""
    letters = [character for character in word if not unicodedata.category(character).startswith("P")]
    takes = all(one.isalpha() and unicodedata.name(one, "").startswith(_HYPHENATED) for one in letters)
    return _HYPHEN if letters and takes and width(f"MM{_HYPHEN}", style) <= room else ""


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
