"""The part of our font that a drawing uses, as a TrueType file that a browser takes.

reportlab cuts the glyphs out for its own PDF, with a character map that fits only there: the map is put right here.
"""

import struct
from collections.abc import Collection
from typing import Any

from diagtree.draw.font import face

_WINDOWS, _UNICODE_FULL = 3, 10  # platform and encoding of a format 12 map: every code point


def subset(characters: Collection[str], *, bold: bool) -> bytes:
    """A TrueType file with the glyphs of these characters; those that the font lacks are left out."""
    from reportlab.pdfbase.ttfonts import TTFontFile, TTFontMaker

    cut = face(bold=bold)
    codes = sorted(ord(character) for character in set(characters) if ord(character) in cut.advances)
    font = TTFontFile(str(cut.path))
    made = font.makeSubset(codes)
    maker = TTFontMaker()
    for tag, data in _tables(made):
        maker.add(tag, _map(_glyphs(font, codes)) if tag == "cmap" else data)
    stream: bytes = maker.makeStream()
    return stream


def _glyphs(font: Any, codes: list[int]) -> dict[int, int]:
    """Code point -> glyph in the subset: numbered from 1 as they come, two codes of one glyph sharing it."""
    seen: dict[int, int] = {0: 0}
    return {code: seen.setdefault(font.charToGlyph[code], len(seen)) for code in codes}


def _tables(data: bytes) -> list[tuple[str, bytes]]:
    """The tables of a TrueType file. Source: OpenType specification, table directory."""
    (count,) = struct.unpack(">H", data[4:6])
    entries = (struct.unpack(">4sLLL", data[12 + 16 * number : 28 + 16 * number]) for number in range(count))
    return [(tag.decode("latin-1"), data[offset : offset + length]) for tag, _, offset, length in entries]


def _map(glyphs: dict[int, int]) -> bytes:
    """A character map of one subtable, format 12, a group for each code point. Source: OpenType specification, cmap."""
    groups = b"".join(struct.pack(">LLL", code, code, glyph) for code, glyph in sorted(glyphs.items()))
    body = struct.pack(">HHLLL", 12, 0, 16 + len(groups), 0, len(glyphs)) + groups
    return struct.pack(">HHHHL", 0, 1, _WINDOWS, _UNICODE_FULL, 12) + body
