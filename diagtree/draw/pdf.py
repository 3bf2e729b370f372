"""Pictures as a PDF, a page each: our own font embedded, real text, the same bytes on every run."""

import io
from collections.abc import Collection, Iterable, Sequence
from typing import Any

from diagtree.draw import path as pens
from diagtree.draw.bidi import visual
from diagtree.draw.lettering import Lettering, lettering, write
from diagtree.draw.lettering import canvas as empty
from diagtree.draw.path import Path
from diagtree.draw.picture import Box, Line, Picture, Word

ENDING = ".pdf"


def paint(pictures: Sequence[Picture]) -> bytes:
    """The pictures as one PDF, with title and language, and a bookmark for each picture and each of its questions.

    A connector links to the box that it stands for. A box that goes on in another tree links to that tree's page where
    it is among the pictures, else to the file `TREE.pdf` beside this one.
    """
    first = pictures[0]
    canvas, file = begin(first)
    fonts = letters(pictures)
    places = {picture.id for picture in pictures}
    for picture in pictures:
        canvas.setPageSize((picture.width, picture.height))
        canvas.bookmarkPage(picture.id)
        canvas.addOutlineEntry(picture.title, picture.id)
        draw(canvas, picture, fonts)
        _bookmarks(canvas, picture)
        _links(canvas, picture, places)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def begin(first: Picture) -> tuple[Any, io.BytesIO]:
    """An empty document with the picture's title and language, and the file that it is written to."""
    file = io.BytesIO()
    letters([first])
    canvas = empty(file, first.title, first.language)
    canvas.setSubject(first.description)
    # As printed, never fitted to the page: a scale bar keeps its length.
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas, file


def letters(pictures: Iterable[Picture]) -> Lettering:
    """The fonts that some pictures need."""
    return lettering(visual(word.text) for picture in pictures for word in picture.words)


def draw(canvas: Any, picture: Picture, fonts: Lettering) -> None:
    """Everything that is seen of a picture."""
    pen = _Pen(canvas, picture, fonts)
    for box in picture.panels:
        pen.box(box)
    for line in (*picture.samples, *sorted(picture.lines, key=lambda line: (not line.dashed, line.pen))):
        pen.line(line)
    for box in (*picture.nodes, *picture.references):
        pen.box(box)


def _bookmarks(canvas: Any, picture: Picture) -> None:
    for box in picture.nodes:
        key = f"{picture.id}/{box.id}"
        canvas.bookmarkHorizontal(key, box.extent.left, picture.height - box.extent.top)
        canvas.addOutlineEntry(box.title or box.id, key, level=1, closed=True)


def _links(canvas: Any, picture: Picture, places: Collection[str]) -> None:
    drawn = {box.id for box in picture.nodes}
    for box in (*picture.nodes, *picture.references):
        extent = box.extent
        area = (extent.left, picture.height - extent.bottom, extent.right, picture.height - extent.top)
        if box.kind == "reference" and box.target in drawn:
            canvas.linkAbsolute(box.title, f"{picture.id}/{box.target}", Rect=area, thickness=0)
        elif box.kind == "onward" and box.target in places:
            canvas.linkAbsolute(box.title, box.target, Rect=area, thickness=0)
        elif box.kind == "onward" and box.target:
            canvas.linkURL(f"{box.target}{ENDING}", area, relative=1, thickness=0, kind="GoToR")


class _Pen:
    """Draws on a canvas, y running up as in PDF."""

    def __init__(self, canvas: Any, picture: Picture, fonts: Lettering) -> None:
        self.canvas, self.picture, self.fonts = canvas, picture, fonts

    def box(self, box: Box) -> None:
        pen = pens.pen_of(box) * self.picture.scale
        if pen:
            self.canvas.setLineWidth(pen)
            self.canvas.setStrokeGray(pens.BLACK)
            self.canvas.setFillGray(box.tone)
            self._dash(dashed=box.border == "dotted")
            for outline in pens.outlines(box, self.picture.scale):
                self.canvas.drawPath(self._path(outline), stroke=1, fill=1)
            self._dash(dashed=False)
        self._words(box.words, box.tone)

    def line(self, line: Line) -> None:
        self.canvas.setLineWidth(line.pen * self.picture.scale)
        self.canvas.setStrokeGray(pens.grey_of(line))
        self._dash(dashed=line.dashed)
        for curve in pens.curves(line):
            self.canvas.drawPath(self._path(curve), stroke=1, fill=0)
        self._dash(dashed=False)
        head = pens.arrowhead(line)
        if head:
            self.canvas.setFillGray(pens.grey_of(line))
            self.canvas.drawPath(self._path(head), stroke=0, fill=1)
        self._words(line.words)

    def _dash(self, *, dashed: bool) -> None:
        self.canvas.setDash([part * self.picture.scale for part in pens.DASH] if dashed else [])

    def _path(self, path: Path) -> Any:
        made = self.canvas.beginPath()
        for letter, points in path.segments:
            numbers = [number for x, y in points for number in (x, self.picture.height - y)]
            move = {"M": made.moveTo, "L": made.lineTo, "C": made.curveTo, "Z": made.close}[letter]
            move(*numbers)
        return made

    def _words(self, words: Iterable[Word], ground: float = 1.0) -> None:
        for word in words:
            text = self.canvas.beginText(word.left, self.picture.height - word.baseline)
            text.setFillGray(pens.print_of(word, ground))
            write(text, self.fonts, visual(word.text), word.size, bold=word.bold)
            self.canvas.drawText(text)
