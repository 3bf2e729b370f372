"""A large sheet on small ones: printed on any printer, cut and joined on the wall.

The sheet is painted once, as a form that every tile shows a window of: the file grows by a few hundred bytes a tile.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from diagtree.draw import pdf
from diagtree.draw.bidi import visual
from diagtree.draw.font import face, wrap
from diagtree.draw.lettering import Lettering, write
from diagtree.draw.paper import MARGIN, Paper
from diagtree.draw.picture import POINTS_PER_MM, Picture
from diagtree.source.collector import paused

OVERLAP = 10.0  # mm that a tile shares with each neighbour
BAR = 100.0  # mm
_FORM = "sheet"
_MARGINS = "margins"
_MARK = 5.0  # mm: length of a cut mark
_SIZE = 7.0  # points: type in the margin
_NUMBER = 1.6 * _SIZE  # on the map
_PEN = 0.4
_PLATE = 6.0  # mm: height of a number on the map
_MAP = 70.0  # mm from the cover's margin to the map of the sheets


@dataclass(frozen=True, slots=True)
class Tiling:
    """How a picture is cut. In mm; the window is what a tile shows, inside its margins."""

    width: float  # of the picture
    height: float
    across: float  # of the tile's paper, as it lies
    down: float
    columns: int
    rows: int

    @property
    def window(self) -> tuple[float, float]:
        """Width and height of what a tile shows."""
        return self.across - 2 * MARGIN, self.down - 2 * MARGIN

    def corner(self, row: int, column: int) -> tuple[float, float]:
        """Where a tile's window begins, from the picture's top left corner; rows and columns from 0."""
        width, height = self.window
        return column * (width - OVERLAP), row * (height - OVERLAP)

    def tiles(self) -> Iterator[tuple[int, int]]:
        """Row and column of each tile, in reading order."""
        return ((row, column) for row in range(self.rows) for column in range(self.columns))


def tiling(picture: Picture, paper: Paper) -> Tiling:
    """The fewest tiles of a paper, upright or lying, that show the whole picture."""
    width, height = picture.width / POINTS_PER_MM, picture.height / POINTS_PER_MM

    def cut(across: float, down: float) -> Tiling:
        many = (_count(width, across - 2 * MARGIN), _count(height, down - 2 * MARGIN))
        return Tiling(width, height, across, down, *many)

    return min(
        (cut(paper.short, paper.long), cut(paper.long, paper.short)), key=lambda found: found.rows * found.columns
    )


def _count(length: float, window: float) -> int:
    # A thousandth of a millimetre more than fits is no reason for a further sheet.
    return max(1, math.ceil((length - OVERLAP - 0.001) / (window - OVERLAP)))


def _plate_width(text: str) -> float:
    return face(bold=True).width(text, _NUMBER) / POINTS_PER_MM + 2.0


@paused()
def paint(picture: Picture, paper: Paper) -> bytes:
    """A cover with a map of the sheets, then the tiles, row by row."""
    cut = tiling(picture, paper)
    fonts = pdf.letters([picture])
    canvas, file = pdf.begin(picture)
    canvas.beginForm(_FORM, 0, 0, picture.width, picture.height)
    pdf.draw(canvas, picture, fonts)
    canvas.endForm()
    page = _Page(canvas, picture, cut, fonts)
    page.margins()
    page.cover()
    for row, column in cut.tiles():
        page.tile(row, column)
    canvas.save()
    return file.getvalue()


class _Page:
    """The pages of one tiling. Lengths in mm from the top left corner, turned to points and y up at the last moment."""

    def __init__(self, canvas: Any, picture: Picture, cut: Tiling, fonts: Lettering) -> None:
        self.canvas, self.picture, self.cut, self.fonts = canvas, picture, cut, fonts
        self.width, self.height = cut.across * POINTS_PER_MM, cut.down * POINTS_PER_MM
        self._pages = 0

    def tile(self, row: int, column: int) -> None:
        """One tile: its window, cut marks at the window's corners, which one it is, and a scale.

        Which one stands above, and on the right, where nothing is cut off and the next sheet covers it.
        """
        self.canvas.setPageSize((self.width, self.height))
        left, top = self.cut.corner(row, column)
        width, height = self.cut.window
        self._window(left, top, width, height)
        self.canvas.doForm(_MARGINS)
        which = f"row {row + 1} of {self.cut.rows}, column {column + 1} of {self.cut.columns}"
        self._label(f"{row + 1}-{column + 1}", f"{which[0].upper()}{which[1:]}", level=1)
        name = ". ".join(filter(None, (f"{self.picture.title}: {which}", self.picture.issue)))
        self._text(MARGIN + _MARK, MARGIN - 4.0, name, _SIZE)
        self._upwards(MARGIN + width + 4.0, MARGIN + height - _MARK, name)
        self.canvas.showPage()

    def cover(self) -> None:
        """How the sheets are joined: a map of them, drawn from the same form."""
        self.canvas.setPageSize((self.width, self.height))
        self._label("map", self.picture.title, level=0)
        cut, tiles = self.cut, self.cut.rows * self.cut.columns
        lines = (
            f"{tiles} sheets in {cut.rows} rows and {cut.columns} columns: {cut.width:.0f} x {cut.height:.0f} mm.",
            "Print at actual size, nothing fitted or scaled. The bar below is 100 mm long: measure it first.",
            f"Cut each sheet at its marks on the left and above. Lay it {OVERLAP:g} mm over its neighbour, and glue.",
            f"{self.picture.issue}: each sheet must say the same on its right edge." if self.picture.issue else "",
        )
        self._text(MARGIN, MARGIN + 8.0, self.picture.title, 2 * _SIZE, bold=True)
        for number, line in enumerate(lines):
            self._paragraph(line, 20.0 + 11.0 * number)
        self._map()
        self._bar(self.cut.down - MARGIN + 4.0)
        self.canvas.showPage()

    def _paragraph(self, line: str, down: float) -> None:
        room = self.width - 2 * MARGIN * POINTS_PER_MM
        for number, part in enumerate(wrap(line, 1.4 * _SIZE, room) if line else ()):
            self._text(MARGIN, MARGIN + down + number * 4.5, part, 1.4 * _SIZE)

    def _map(self) -> None:
        cut, top = self.cut, MARGIN + _MAP
        # A last column or row that is narrower than its number has it beside the map.
        across, down = _plate_width(f"{cut.rows}-{cut.columns}") + 1.0, _PLATE + 1.0
        scale = min((cut.across - 2 * MARGIN - across) / cut.width, (cut.down - top - MARGIN - 5.0 - down) / cut.height)
        self.canvas.saveState()
        self.canvas.translate(MARGIN * POINTS_PER_MM, self._up(top) - cut.height * scale * POINTS_PER_MM)
        self.canvas.scale(scale, scale)
        self.canvas.doForm(_FORM)
        self.canvas.restoreState()
        self.canvas.setLineWidth(_PEN * 2)
        self.canvas.setStrokeGray(0)
        for row, column in cut.tiles():
            left, high = cut.corner(row, column)
            wide = min(cut.window[0], cut.width - left) * scale
            tall = min(cut.window[1], cut.height - high) * scale
            self._rectangle(MARGIN + left * scale, top + high * scale, wide, tall)
            x = wide / 2 if wide > across else wide + across / 2
            y = tall / 2 if tall > down else tall + down / 2
            self._plate(MARGIN + left * scale + x, top + high * scale + y, f"{row + 1}-{column + 1}")

    def _plate(self, x: float, y: float, text: str) -> None:
        """A tile's row and column on a white ground."""
        wide = _plate_width(text)
        self.canvas.setFillGray(1)
        self._rectangle(x - wide / 2, y - _PLATE / 2, wide, _PLATE, fill=1)
        self._text(x - wide / 2 + 1.0, y + 1.4, text, _NUMBER, bold=True)

    def _window(self, left: float, top: float, width: float, height: float) -> None:
        """The part of the picture that begins at `left` and `top`, put between the margins."""
        canvas, k = self.canvas, POINTS_PER_MM
        canvas.saveState()
        shape = canvas.beginPath()
        shape.rect(MARGIN * k, self._up(MARGIN + height), width * k, height * k)
        canvas.clipPath(shape, stroke=0, fill=0)
        canvas.translate((MARGIN - left) * k, self._up(MARGIN - top) - self.picture.height)
        canvas.doForm(_FORM)
        canvas.restoreState()

    def margins(self) -> None:
        """What the margins of all tiles show, once: cut marks and the bar."""
        self.canvas.beginForm(_MARGINS, 0, 0, self.width, self.height)
        self._marks()
        self._bar(self.cut.down - MARGIN + 4.0)
        self.canvas.endForm()

    def _marks(self) -> None:
        """Strokes in the margin, in line with the window's edges."""
        self.canvas.setLineWidth(_PEN)
        self.canvas.setStrokeGray(0)
        width, height = self.cut.window
        for x in (MARGIN, MARGIN + width):
            self._stroke(x, MARGIN - 1.0 - _MARK, x, MARGIN - 1.0)
            self._stroke(x, MARGIN + height + 1.0, x, MARGIN + height + 1.0 + _MARK)
        for y in (MARGIN, MARGIN + height):
            self._stroke(MARGIN - 1.0 - _MARK, y, MARGIN - 1.0, y)
            self._stroke(MARGIN + width + 1.0, y, MARGIN + width + 1.0 + _MARK, y)

    def _bar(self, y: float) -> None:
        """A bar of 100 mm with its length beside it."""
        left = MARGIN + _MARK
        self.canvas.setLineWidth(_PEN * 2)
        self.canvas.setStrokeGray(0)
        self._stroke(left, y, left + BAR, y)
        for at in range(0, int(BAR) + 1, 10):
            self._stroke(left + at, y - (1.5 if at % 50 == 0 else 0.8), left + at, y)
        self._text(left + BAR + 2.0, y, f"{BAR:g} mm", _SIZE)

    def _text(self, x: float, y: float, words: str, size: float, *, bold: bool = False) -> None:
        text = self.canvas.beginText(x * POINTS_PER_MM, self._up(y))
        text.setFillGray(0)
        write(text, self.fonts, visual(words), size, bold=bold)
        self.canvas.drawText(text)

    def _upwards(self, x: float, y: float, words: str) -> None:
        """Words from the bottom up, as many as the sheet is long."""
        longest = (y - MARGIN) * POINTS_PER_MM
        while face().width(words, _SIZE) > longest:
            words = f"{words[:-2]}\N{HORIZONTAL ELLIPSIS}"
        self.canvas.saveState()
        self.canvas.translate(x * POINTS_PER_MM, self._up(y))
        self.canvas.rotate(90)
        text = self.canvas.beginText(0, 0)
        text.setFillGray(0)
        write(text, self.fonts, visual(words), _SIZE)
        self.canvas.drawText(text)
        self.canvas.restoreState()

    def _label(self, number: str, name: str, level: int) -> None:
        """The page's number where a reader shows one, and its bookmark."""
        self.canvas.addPageLabel(self._pages, prefix=number)
        self._pages += 1
        key = self.picture.id if level == 0 else f"{self.picture.id}/{number}"
        self.canvas.bookmarkPage(key)
        self.canvas.addOutlineEntry(name, key, level=level)

    def _stroke(self, left: float, top: float, right: float, bottom: float) -> None:
        self.canvas.line(left * POINTS_PER_MM, self._up(top), right * POINTS_PER_MM, self._up(bottom))

    def _rectangle(self, left: float, top: float, width: float, height: float, fill: int = 0) -> None:
        k = POINTS_PER_MM
        self.canvas.rect(left * k, self._up(top + height), width * k, height * k, stroke=1, fill=fill)

    def _up(self, y: float) -> float:
        return self.height - y * POINTS_PER_MM
