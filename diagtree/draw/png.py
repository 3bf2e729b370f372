"""A picture as PNG, rendered from its PDF, so that both show the same."""

import math
import struct
import zlib
from collections.abc import Iterator

from diagtree.draw import pdf
from diagtree.draw.picture import Picture

DPI = 150
_MOST_PIXELS = 100_000_000  # beyond it the resolution falls: nobody looks at a larger one, few programs open it


def paint(picture: Picture, dpi: int = DPI) -> bytes:
    """The picture as a greyscale PNG at `dpi`, or at fewer where it would pass 100 million pixels."""
    width, height, rows = _render(pdf.paint([picture]), _resolution(picture, dpi) / 72)
    metres = round(_resolution(picture, dpi) / 0.0254)
    chunks = (
        ("IHDR", struct.pack(">LLBBBBB", width, height, 8, 0, 0, 0, 0)),  # 8 bits, grey
        ("pHYs", struct.pack(">LLB", metres, metres, 1)),
        ("tEXt", b"Software\0diagtree"),
        ("IDAT", zlib.compress(rows, 9)),
        ("IEND", b""),
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(kind.encode(), data) for kind, data in chunks)


def _resolution(picture: Picture, dpi: int) -> float:
    pixels = picture.width * picture.height * (dpi / 72) ** 2
    return min(float(dpi), dpi * math.sqrt(_MOST_PIXELS / pixels))


def _render(document: bytes, scale: float) -> tuple[int, int, bytes]:
    """Width, height, and the rows, each behind a 0: no filter."""
    import pypdfium2

    opened = pypdfium2.PdfDocument(document)
    try:
        bitmap = opened[0].render(scale=scale, grayscale=True)
        data, stride = bytes(bitmap.buffer), bitmap.stride
        width, height = bitmap.width, bitmap.height
    finally:
        opened.close()
    return width, height, b"".join(_rows(data, stride, width, height))


def _rows(data: bytes, stride: int, width: int, height: int) -> Iterator[bytes]:
    for row in range(height):
        yield b"\0" + data[row * stride : row * stride + width]


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">L", len(data)) + kind + data + struct.pack(">L", zlib.crc32(kind + data))
