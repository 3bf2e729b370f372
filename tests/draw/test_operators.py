"""Strokes and words in a PDF's own operators: byte for byte what the PDF library writes for them."""

import io
from typing import Any

import pytest

from diagtree.draw.lettering import canvas, lettering, write
from diagtree.draw.operators import Operators
from diagtree.draw.path import Path
from diagtree.draw.picture import Word

HEIGHT = 800.0
TEXTS = (
    "Oil low (hot) \\ 5 °C",
    "Ölwanne · A\N{EN DASH}B",
    "中 oil 文",
    "x" * 3,
    "".join(map(chr, range(0x100, 0x240))),
    "",
)
PLACES = ((20.5, 700.123456789), (0.0, 800.0), (-3.25, 12.0), (1.0, 0.5), (123456.789, -2e6), (1e-9, 799.9999999))


def _page(draw: Any) -> bytes:
    """A page that somebody draws on."""
    file = io.BytesIO()
    fonts = lettering(TEXTS)
    made = canvas(file, "T", "en")
    draw(made, fonts)
    made.showPage()
    made.save()
    return file.getvalue()


def _word(text: str, place: tuple[float, float], size: float, *, bold: bool) -> Word:
    return Word(text, place[0], place[1], 10.0, size, "text", bold)


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("size", [5.1, 12.0, 0.75])
def test_words_are_written_as_the_library_writes_them(size: float, *, bold: bool) -> None:
    """In several parts of a font, in boxes with a code, with what must be escaped, at any place."""
    words = [_word(text, place, size, bold=bold) for text in TEXTS for place in PLACES]

    def ours(made: Any, fonts: Any) -> None:
        ink = Operators(made, fonts, HEIGHT)
        for word in words:
            ink.word(word, 0.3)
        made.addLiteral(ink.text)

    def theirs(made: Any, fonts: Any) -> None:
        for word in words:
            text = made.beginText(word.left, HEIGHT - word.baseline)
            text.setFillGray(0.3)
            write(text, fonts, word.text, word.size, bold=word.bold)
            made.drawText(text)

    assert _page(ours) == _page(theirs)


def test_strokes_are_written_as_the_library_writes_them() -> None:
    ends = [(2.0, 3.0), (799.5, 0.25), (1234.5678, 799.0), (-4.0, 800.0)]
    curves = [
        Path((("M", (start,)), ("L", (end,)), ("C", (start, end, (7.123456789, 8.0))), ("Z", ())))
        for start in ends
        for end in ends
    ]

    def ours(made: Any, fonts: Any) -> None:
        ink = Operators(made, fonts, HEIGHT)
        for number, path in enumerate(curves):
            ink.pen(0.8 * number + 0.1, number / 16)
            ink.ground(1 - number / 16)
            ink.dash((3.0, 2.8) if number % 2 else ())
            ink.path(path, stroke=number % 3 != 0, fill=number % 3 != 1)
        made.addLiteral(ink.text)

    def theirs(made: Any, _: Any) -> None:
        for number, path in enumerate(curves):
            made.setLineWidth(0.8 * number + 0.1)
            made.setStrokeGray(number / 16)
            made.setFillGray(1 - number / 16)
            made.setDash([3.0, 2.8] if number % 2 else [])
            drawn = made.beginPath()
            for letter, points in path.segments:
                move = {"M": drawn.moveTo, "L": drawn.lineTo, "C": drawn.curveTo, "Z": drawn.close}[letter]
                move(*(number for x, y in points for number in (x, HEIGHT - y)))
            made.drawPath(drawn, stroke=int(number % 3 != 0), fill=int(number % 3 != 1))

    assert _page(ours) == _page(theirs)


def test_a_page_is_not_spelled_out_in_letters() -> None:
    """A fifth of a file's size: its streams are packed, and stand there as they are."""
    data = _page(lambda made, _: made.addLiteral("0 0 m 10 10 l S"))
    assert b"FlateDecode" in data
    assert b"ASCII85Decode" not in data
