"""Boxes with a character's code, for characters that our font lacks: a TrueType font of them, made when it is needed.

A box holds the number of its character in hexadecimal digits, in two rows, so that a reader can look it up. It is as
wide as the stand-in that texts are measured with. The text behind it stays the text: it can be searched and copied.
A font for Chinese, Japanese and Korean would be larger than the whole program.
"""

import hashlib
import struct
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from typing import Any

from diagtree.draw.font import STAND_IN, face

_FAMILY = "CodeBoxes"
REMARK = (
    "A box with letters and digits stands for a character that this print has no shape for: its Unicode number. "
    "In the file it can be searched and copied."
)

_EM = 2048
_DIGITS = "0123456789ABCDEF"
_FRAME = 1 + len(_DIGITS)  # the glyph behind .notdef and the digits
_PEN = 50
_BOTTOM, _TOP = -300, 1700
_SIDE = 120  # clear beside the frame
_INSIDE = 150  # between the frame's outer edge and its digits
_WORDS_AND_XY, _SCALED, _MORE = 0x0003, 0x0008, 0x0020  # flags of a component
_FIXED = 1 << 14  # one, as a scale is written
_WINDOWS, _UNICODE, _UNICODE_FULL, _ENGLISH = 3, 1, 10, 0x409


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of text that one font prints: our own, or that of the boxes."""

    text: str
    boxed: bool


def runs(text: str, *, bold: bool = False) -> tuple[Run, ...]:
    """The text in stretches, each for one font."""
    known = face(bold=bold).advances
    if known.keys() >= set(map(ord, text)):
        return (Run(text, boxed=False),) if text else ()
    grouped = groupby(text, lambda character: ord(character) not in known)
    return tuple(Run("".join(stretch), boxed) for boxed, stretch in grouped)


def lacking(texts: Iterable[str]) -> str:
    """The characters of some texts that one of our cuts lacks, each once, in order."""
    known = _known()
    return "".join(sorted(character for character in set[str]().union(*texts) if character not in known))


@cache
def _known() -> frozenset[str]:
    """The characters that both of our cuts have."""
    return frozenset(map(chr, face().advances.keys() & face(bold=True).advances.keys()))


def font_name(characters: str) -> str:
    """A name for the font of these characters alone: the PDF library takes two fonts of one name for the same."""
    return f"{_FAMILY}-{hashlib.sha256(characters.encode()).hexdigest()[:12]}"


@cache
def font_file(characters: str) -> bytes:
    """A TrueType file with a box for each of some characters, the same bytes for the same characters.

    Args:
        characters: each once, in order, as `lacking` gives them.
    """
    from reportlab.pdfbase.ttfonts import TTFontFile, TTFontMaker

    source = TTFontFile(str(face().path))
    glyphs = [b"", *(_digit(source, digit) for digit in _DIGITS), _frame(), *(_box(source, one) for one in characters)]
    maker = TTFontMaker()
    for tag, data in _tables(source, glyphs, characters):
        maker.add(tag, data)
    stream: bytes = maker.makeStream()
    return stream


def _advance() -> int:
    return round(face().advances[ord(STAND_IN)] * _EM / 1000)


def _digit(source: Any, digit: str) -> bytes:
    """The outline of a digit without its hints, which would need programs of the whole font."""
    glyph = source.charToGlyph[ord(digit)]
    data = source.get_table("glyf")[source.glyphPos[glyph] : source.glyphPos[glyph + 1]]
    (contours,) = struct.unpack(">h", data[:2])
    assert contours > 0, "digits of our font are plain outlines"
    end = 10 + 2 * contours
    (hints,) = struct.unpack(">H", data[end : end + 2])
    return _even(data[:end] + b"\0\0" + data[end + 2 + hints :])


def _frame() -> bytes:
    left, right = _SIDE, _advance() - _SIDE
    outer = [(left, _BOTTOM), (left, _TOP), (right, _TOP), (right, _BOTTOM)]
    inner = [(x + (_PEN if x == left else -_PEN), y + (_PEN if y == _BOTTOM else -_PEN)) for x, y in reversed(outer)]
    return _outline([outer, inner])


def _outline(contours: Sequence[Sequence[tuple[int, int]]]) -> bytes:
    """A simple glyph of straight lines. Source: OpenType specification, glyf."""
    points = [point for contour in contours for point in contour]
    ends = [sum(map(len, contours[: number + 1])) - 1 for number in range(len(contours))]
    moves = [
        struct.pack(f">{len(points)}h", *(b[axis] - a[axis] for a, b in zip([(0, 0), *points], points, strict=False)))
        for axis in (0, 1)
    ]
    head = struct.pack(">h4h", len(contours), *_extent(points))
    return _even(head + struct.pack(f">{len(ends)}HH", *ends, 0) + b"\x01" * len(points) + b"".join(moves))


def _extent(points: Sequence[tuple[int, int]]) -> tuple[int, int, int, int]:
    across, up = zip(*points, strict=True)
    return min(across), min(up), max(across), max(up)


def _box(source: Any, character: str) -> bytes:
    """The frame with the digits in two rows, as components. Source: OpenType specification, glyf."""
    code = f"{ord(character):04X}"
    code = code if len(code) == 4 else code.zfill(6)
    columns = len(code) // 2
    widths = {digit: source.hmetrics[source.charToGlyph[ord(digit)]][0] for digit in _DIGITS}
    width = max(widths.values())
    wide, high = _advance() - 2 * (_SIDE + _INSIDE), (_TOP - _BOTTOM - 3 * _INSIDE) // 2
    scale = min(wide / (columns * width), high / _high(source))
    left = _SIDE + _INSIDE + (wide - columns * width * scale) / 2
    parts = [struct.pack(">HHhh", _WORDS_AND_XY | _MORE, _FRAME, 0, 0)]
    for place, digit in enumerate(code):
        row, column = divmod(place, columns)
        x = round(left + (column * width + (width - widths[digit]) / 2) * scale)
        y = _TOP - (row + 1) * (_INSIDE + high)
        flags = _WORDS_AND_XY | _SCALED | (_MORE if place + 1 < len(code) else 0)
        parts.append(struct.pack(">HHhhh", flags, 1 + _DIGITS.index(digit), x, y, round(scale * _FIXED)))
    return _even(struct.pack(">h4h", -1, _SIDE, _BOTTOM, _advance() - _SIDE, _TOP) + b"".join(parts))


def _high(source: Any) -> int:
    """How high the digits are."""
    tops: list[int] = [struct.unpack(">h4h", _digit(source, digit)[:10])[4] for digit in _DIGITS]
    return max(tops)


def _even(data: bytes) -> bytes:
    return data + b"\0" * (-len(data) % 4)


def _tables(source: Any, glyphs: Sequence[bytes], characters: str) -> Iterator[tuple[str, bytes]]:
    """The tables of the file. Source: OpenType specification."""
    head = bytearray(source.get_table("head"))
    head[36:44] = struct.pack(">4h", 0, _BOTTOM, _advance(), _TOP)
    head[50:52] = struct.pack(">h", 1)  # places of glyphs in four bytes each
    yield "head", bytes(head)
    hhea = source.get_table("hhea")
    yield "hhea", hhea[:34] + struct.pack(">H", len(glyphs))
    maxp = source.get_table("maxp")
    yield "maxp", maxp[:4] + struct.pack(">H", len(glyphs)) + maxp[6:]
    yield "OS/2", source.get_table("OS/2")
    yield "post", b"\x00\x03\x00\x00" + source.get_table("post")[4:16] + b"\0" * 16
    yield "name", _names(font_name(characters))
    yield "glyf", b"".join(glyphs)
    places = [sum(map(len, glyphs[:number])) for number in range(len(glyphs) + 1)]
    yield "loca", struct.pack(f">{len(places)}L", *places)
    # The left edge of each, as drawn: else a reader moves the glyph to where it is said to begin.
    edges = [struct.unpack(">h", glyph[2:4])[0] if glyph else 0 for glyph in glyphs]
    yield "hmtx", b"".join(struct.pack(">Hh", _advance(), edge) for edge in edges)
    yield "cmap", _map({ord(one): _FRAME + 1 + place for place, one in enumerate(characters)})


def _names(name: str) -> bytes:
    said = {1: name, 2: "Regular", 3: name, 4: name, 6: name}
    texts = [text.encode("utf-16-be") for text in said.values()]
    starts = [sum(map(len, texts[:number])) for number in range(len(texts))]
    records = b"".join(
        struct.pack(">6H", _WINDOWS, _UNICODE, _ENGLISH, key, len(text), start)
        for key, text, start in zip(said, texts, starts, strict=True)
    )
    return struct.pack(">3H", 0, len(said), 6 + len(records)) + records + b"".join(texts)


def _map(glyphs: dict[int, int]) -> bytes:
    """A character map of one subtable, format 12. Source: OpenType specification, cmap."""
    groups = b"".join(struct.pack(">LLL", code, code, glyph) for code, glyph in sorted(glyphs.items()))
    body = struct.pack(">HHLLL", 12, 0, 16 + len(groups), 0, len(glyphs)) + groups
    return struct.pack(">HHHHL", 0, 1, _WINDOWS, _UNICODE_FULL, 12) + body
