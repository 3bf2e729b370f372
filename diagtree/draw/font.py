"""The one font of every drawing: how wide a text is, where it breaks, and what stands in for a missing character.

DejaVu Sans Condensed and its bold lie beside this module, so a text is as wide on a machine without fonts as on any
other. The metrics are read with reportlab, which has to read the same files for the PDF: no second font library.
"""

import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from diagtree.draw.truetype import load

FOLDER = Path(__file__).parent / "fonts"
NAMES: Mapping[bool, str] = {False: "DejaVuSansCondensed", True: "DejaVuSansCondensed-Bold"}

STAND_IN = "\N{WHITE SQUARE}"  # for a character that the font lacks
UNPRINTABLE = "\N{REPLACEMENT CHARACTER}"  # for one that no font may print

# Shares of the type size, from the font's own `hhea` table (ascent 1901, descent 483 of 2048), rounded up.
ASCENT = 0.93
DESCENT = 0.24
LEADING = 1.25  # from baseline to baseline

# Joiners that some scripts need; every other invisible character is shown as a stand-in.
_JOINERS = "\N{ZERO WIDTH NON-JOINER}\N{ZERO WIDTH JOINER}"
# At the end of a line within a word: what looks for the word in a PDF finds it whole (ISO 32000-1, 14.8.2.2.3; from
# memory).
SOFT_HYPHEN = "\N{SOFT HYPHEN}"
_HYPHENATED = ("LATIN", "GREEK", "CYRILLIC")


@dataclass(frozen=True, slots=True)
class Face:
    """One cut of the font. Advance widths in thousandths of the type size, by code point and by character."""

    name: str
    path: Path
    advances: Mapping[int, float]
    steps: Mapping[str, float]  # for every character: one that the font lacks is as wide as its stand-in

    def shown(self, text: str) -> str:
        """The text as this face can print it: a stand-in for each character that it lacks."""
        return "".join(character if ord(character) in self.advances else STAND_IN for character in text)

    def width(self, text: str, size: float) -> float:
        """How wide `text` is, in the unit of `size`."""
        return sum(map(self.steps.__getitem__, text)) * size / 1000


@cache
def face(*, bold: bool = False) -> Face:
    """The regular or the bold cut, read once."""
    read = printed(bold=bold).face
    advances = {code: read.charWidths[code] for code in read.charToGlyph}
    return Face(NAMES[bold], _path(bold=bold), advances, _Steps(advances))


@cache
def printed(*, bold: bool = False) -> Any:
    """A cut as the PDF library holds it. Measuring reads the same: the file is taken apart once."""
    return load(NAMES[bold], str(_path(bold=bold)))


def _path(*, bold: bool) -> Path:
    return FOLDER / f"{NAMES[bold]}.ttf"


class _Steps(dict[str, float]):
    """The advance of each character, looked up when it is first met: it is asked for a hundred thousand times."""

    def __init__(self, advances: Mapping[int, float]) -> None:
        super().__init__()
        self._advances = advances

    def __missing__(self, character: str) -> float:
        step = self._advances.get(ord(character), self._advances[ord(STAND_IN)])
        self[character] = step
        return step


def clean(text: str) -> str:
    """`text` on one line, without characters that control a screen, a page or the direction of writing."""
    if text.isprintable():
        return " ".join(text.split())
    plain = "".join(map(_visible, text.replace(SOFT_HYPHEN, "")))
    return " ".join(plain.split())


def _visible(character: str) -> str:
    if character.isspace():
        return " "
    hidden = unicodedata.category(character) in {"Cc", "Cf", "Cs", "Cn", "Co"}
    return UNPRINTABLE if hidden and character not in _JOINERS else character


def wrap(text: str, size: float, limit: float, *, bold: bool = False) -> tuple[str, ...]:
    """Break `text` into lines of nearly equal width, none wider than `limit`.

    A word wider than `limit` is broken between characters, with a soft hyphen in letters that take one; a character
    wider than `limit` stands alone. As many lines as a greedy filling needs, then as narrow as that number of lines
    allows.

    Returns:
        At least one line; one empty line for an empty text.
    """
    return tuple(line for line, _ in measured(text, size, limit, bold))


@lru_cache(maxsize=8192)  # the same words are measured, then set, and panels for many widths
def measured(text: str, size: float, limit: float, bold: bool) -> tuple[tuple[str, float], ...]:
    """The lines of `wrap`, each with its width."""
    cut = face(bold=bold)
    return tuple((line, cut.width(line, size)) for line in _wrapped(text, size, limit, cut))


def _wrapped(text: str, size: float, limit: float, cut: Face) -> list[str]:
    step, space = cut.steps.__getitem__, cut.width(" ", size)
    words = text.split()
    widths = [sum(map(step, word)) * size / 1000 for word in words]
    if not words or max(widths) > limit:
        return _broken(list(zip(words, widths, strict=True)), space, cut, size, limit)
    starts = _starts(widths, space, limit)
    if len(starts) > 1:
        narrowest = _narrowest(lambda middle: _goes(widths, space, middle, len(starts)), size, limit)
        starts = starts if narrowest == limit else _starts(widths, space, narrowest)
    return [" ".join(words[start:end]) for start, end in pairwise([*starts, len(words)])]


def _broken(words: list[tuple[str, float]], space: float, cut: Face, size: float, limit: float) -> list[str]:
    """The same where some word is too wide. A tighter filling must not break one that the wider left whole."""
    lines = _fill(words, space, cut, size, limit)
    narrowest = _narrowest(lambda middle: _alike(lines, _fill(words, space, cut, size, middle)), size, limit)
    return lines if narrowest == limit else _fill(words, space, cut, size, narrowest)


def _narrowest(fits: Callable[[float], bool], size: float, limit: float) -> float:
    """The least limit that still fits, to a quarter of the type size, by halving."""
    narrowest = limit
    low, high = limit / 2, limit
    while high - low > size / 4:
        middle = (low + high) / 2
        if fits(middle):
            high = narrowest = middle
        else:
            low = middle
    return narrowest


def _starts(widths: list[float], space: float, limit: float) -> list[int]:
    """Which words begin a line where none is wider than `limit`."""
    starts, used = [0], widths[0]
    for at in range(1, len(widths)):
        width = widths[at]
        if used + space + width <= limit:
            used += space + width
        else:
            starts.append(at)
            used = width
    return starts


def _alike(lines: list[str], tighter: list[str]) -> bool:
    """Whether two fillings are of the same words in as many lines."""
    return len(tighter) == len(lines) and " ".join(tighter) == " ".join(lines)


def _goes(widths: list[float], space: float, limit: float, most: int) -> bool:
    """Whether words go into no more lines than that, none of them broken."""
    used, lines = 0.0, 0
    for width in widths:
        if lines and used + space + width <= limit:
            used += space + width
            continue
        lines += 1
        if width > limit or lines > most:
            return False
        used = width
    return True


def _fill(words: list[tuple[str, float]], space: float, cut: Face, size: float, limit: float) -> list[str]:
    """Words with their widths, in lines."""
    lines: list[str] = []
    line: list[str] = []
    used = 0.0
    for word, width in words:
        if line and used + space + width <= limit:
            line.append(word)
            used += space + width
            continue
        lines += [" ".join(line)] if line else []
        if width <= limit:
            line, used = [word], width
            continue
        *whole, last = _pieces(word, cut, size, limit)
        lines += whole
        line, used = [last], cut.width(last, size)
    return [*lines, " ".join(line)]


def _pieces(word: str, cut: Face, size: float, limit: float) -> list[str]:
    """A word in pieces no wider than `limit`, with a hyphen in letters that take one; one piece where it fits."""
    hyphen = _hyphen(word, cut, size, limit)
    room = limit - cut.width(hyphen, size)
    pieces: list[str] = []
    piece, used = "", 0.0
    for at, character in enumerate(word):
        step = cut.width(character, size)
        if piece and used + step > (room if at < len(word) - 1 else limit):
            broken = piece[-1].isalpha() and character.isalpha()
            pieces.append(f"{piece}{hyphen if broken else ''}")
            piece, used = "", 0.0
        piece += character
        used += step
    return [*pieces, piece]


def _hyphen(word: str, cut: Face, size: float, limit: float) -> str:
    """What ends a line within a word: nothing in numbers and codes, which somebody may type as they stand, and in
    letters that take no hyphen.
    """
    letters = [character for character in word if not unicodedata.category(character).startswith("P")]
    takes = all(one.isalpha() and unicodedata.name(one, "").startswith(_HYPHENATED) for one in letters)
    return SOFT_HYPHEN if letters and takes and cut.width(f"MM{SOFT_HYPHEN}", size) <= limit else ""
