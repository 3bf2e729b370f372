"""Strokes and words as a PDF page has them: its own operators, in text. Source: ISO 32000, Annex A.

The PDF library makes an object for each path and each line of words, and measures the words once more; a poster has
a thousand of them. Numbers and order are the library's own, so a page is the same, byte for byte.
"""

from collections.abc import Sequence
from functools import cache
from itertools import groupby
from operator import itemgetter
from typing import Any

from diagtree.draw.bidi import visual
from diagtree.draw.codebox import Run, runs
from diagtree.draw.font import NAMES
from diagtree.draw.lettering import Lettering
from diagtree.draw.path import Path
from diagtree.draw.picture import Word

_STEPS = {"M": "%.7g %.7g m", "L": "%.7g %.7g l", "C": "%.7g %.7g %.7g %.7g %.7g %.7g c", "Z": "h"}
_LEAST, _MOST = 1.0, 1e6  # between them a number has seven digits, as the library writes it
_LEADING = 1.2  # the library's, in a line that has no second
# What a string of one byte a character has for each: `\`, `(`, `)` behind a `\`, what cannot be printed in octal.
_ESCAPED = {code: f"\\{code:03o}" for code in (*range(32), *range(127, 256))} | {ord(c): f"\\{c}" for c in "\\()"}


class Operators:
    """The operators of one page or form, y running up as in PDF.

    Args:
        canvas: of the PDF library, for which fonts are in its document.
        fonts: made from texts that hold every word.
        height: of the page; what is put in is measured from its top.
    """

    def __init__(self, canvas: Any, fonts: Lettering, height: float) -> None:
        from reportlab.lib.rl_accel import fp_str

        self._height, self._plain = height, fp_str
        self._document = canvas._doc  # noqa: SLF001  # what the library's fonts ask for
        self._boxes = fonts.boxes
        self._codes: dict[str, _Codes] = {}
        self._numbers: dict[float, str] = {}
        self._lines: list[str] = []

    @property
    def text(self) -> str:
        """All of them, a line each."""
        return "\n".join(self._lines)

    def pen(self, width: float, grey: float) -> None:
        """Stroke with this width and this share of white."""
        self._lines += (f"{self._number(width)} w", f"{self._number(grey)} G")

    def ground(self, grey: float) -> None:
        """Fill with this share of white."""
        self._lines.append(f"{self._number(grey)} g")

    def dash(self, parts: Sequence[float] = ()) -> None:
        """Stroke in dashes; without lengths, in whole lines."""
        self._lines.append(f"[{' '.join(map(self._number, parts))}] 0 d")

    def path(self, path: Path, *, stroke: bool, fill: bool) -> None:
        """Draw a path."""
        height = self._height
        numbers = [number for _, points in path.segments for x, y in points for number in (x, height - y)]
        template = _template("".join(letter for letter, _ in path.segments))
        self._lines += (self._filled(template, numbers), "B*" if stroke and fill else "S" if stroke else "f*")

    def word(self, word: Word, grey: float) -> None:
        """Put a line of words with this share of white."""
        place = self._filled("%.7g %.7g", (word.left, self._height - word.baseline))
        made = [f"BT 1 0 0 1 {place} Tm {self._number(grey)} g"]
        sizes = f"{self._number(word.size)} Tf {self._number(word.size * _LEADING)} TL"
        for run in self._runs(visual(word.text), bold=word.bold):
            codes = self._of(self._boxes if run.boxed else NAMES[word.bold])
            made += [f"{codes.part(part)} {sizes} ({spelled}) Tj" for part, spelled in codes.spelled(run.text)]
        self._lines.append(" ".join([*made, "ET"]))

    def _filled(self, template: str, numbers: Sequence[float]) -> str:
        """Numbers put in: together where all of them have seven digits."""
        if min(numbers) > _LEAST and max(numbers) < _MOST:
            return template % tuple(numbers)
        return template.replace("%.7g", "%s") % tuple(map(self._plain, numbers))

    def _runs(self, text: str, *, bold: bool) -> tuple[Run, ...]:
        """The stretches of a text: one, where no text needs a box."""
        return runs(text, bold=bold) if self._boxes or not text else (Run(text, boxed=False),)

    def _of(self, font: str) -> "_Codes":
        found = self._codes.get(font)
        if found is None:
            found = self._codes[font] = _Codes(font, self._document)
        return found

    def _number(self, value: float) -> str:
        """A number that is written time and again."""
        found = self._numbers.get(value)
        if found is None:
            found = self._numbers[value] = str(self._plain(value))
        return found


@cache
def _template(letters: str) -> str:
    """A path of these moves, with its numbers to be filled in."""
    return " ".join(["n", *(_STEPS[letter] for letter in letters)])


class _Codes:
    """The characters of a font in one document: the library gives each a part of the font, and a code there."""

    def __init__(self, font: str, document: Any) -> None:
        from reportlab.pdfbase.pdfmetrics import getFont

        self._font, self._document = getFont(font), document
        self._known: dict[str, tuple[int, str]] = {}
        self._first: dict[str, str] = {}  # those of the first part: mostly all
        self._names: dict[int, str] = {}

    def spelled(self, text: str) -> list[tuple[int, str]]:
        """A text in stretches of one part of the font each, as codes between brackets."""
        try:
            return [(0, "".join(map(self._first.__getitem__, text)))]
        except KeyError:
            found = groupby(map(self._code, text), itemgetter(0))
            return [(part, "".join([code for _, code in stretch])) for part, stretch in found]

    def part(self, number: int) -> str:
        """What a part of the font is called in the document."""
        if number not in self._names:
            self._names[number] = str(self._font.getSubsetInternalName(number, self._document))
        return self._names[number]

    def _code(self, character: str) -> tuple[int, str]:
        found = self._known.get(character)
        if found is None:
            ((part, code),) = self._font.splitString(character, self._document)
            found = self._known[character] = part, code.decode("latin-1").translate(_ESCAPED)
            if not part:
                self._first[character] = found[1]
        return found
