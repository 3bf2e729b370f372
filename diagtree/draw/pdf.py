"""Pictures as a PDF, a page each: our own font embedded, real text, the same bytes on every run."""

import io
from collections.abc import Collection, Sequence
from typing import Any

from diagtree.draw import path as pens
from diagtree.draw.font import NAMES, face
from diagtree.draw.path import Path
from diagtree.draw.picture import Box, Line, Picture, Word


def paint(pictures: Sequence[Picture]) -> bytes:
    """The pictures as one PDF, with title, language and a bookmark for each.

    A box that goes on in another tree links to that tree's page where it is among the pictures.
    """
    from reportlab.pdfgen.canvas import Canvas

    _register()
    first = pictures[0]
    file = io.BytesIO()
    # `invariant`: no clock and no random id in the file.
    canvas = Canvas(file, invariant=1, pageCompression=1, lang=first.language, initialFontName=NAMES[False])
    canvas.setTitle(first.title)
    canvas.setSubject(first.description)
    canvas.setCreator("diagtree")
    canvas.setProducer("diagtree")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    places = {picture.id for picture in pictures}
    for picture in pictures:
        _page(canvas, picture, places)
    canvas.save()
    return file.getvalue()


def _register() -> None:
    from reportlab.pdfbase.pdfmetrics import getRegisteredFontNames, registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    for bold, name in NAMES.items():
        if name not in getRegisteredFontNames():
            registerFont(TTFont(name, str(face(bold=bold).path)))


def _page(canvas: Any, picture: Picture, places: Collection[str]) -> None:
    canvas.setPageSize((picture.width, picture.height))
    canvas.bookmarkPage(picture.id)
    canvas.addOutlineEntry(picture.title, picture.id)
    for box in picture.panels:
        _box(canvas, picture, box)
    for line in (*picture.samples, *picture.lines):
        _line(canvas, picture, line)
    for box in picture.nodes:
        _box(canvas, picture, box)
        if box.target in places:
            _link(canvas, picture, box)
    canvas.showPage()


def _link(canvas: Any, picture: Picture, box: Box) -> None:
    extent = box.extent
    area = (extent.left, picture.height - extent.bottom, extent.right, picture.height - extent.top)
    canvas.linkAbsolute(box.title, box.target, Rect=area, thickness=0)


def _box(canvas: Any, picture: Picture, box: Box) -> None:
    pen = pens.pen_of(box) * picture.scale
    if pen:
        canvas.setLineWidth(pen)
        canvas.setStrokeGray(pens.BLACK)
        canvas.setFillGray(pens.SHADE if box.shade else 1.0)
        for outline in pens.outlines(box, picture.scale):
            canvas.drawPath(_path(canvas, picture, outline), stroke=1, fill=1)
    _words(canvas, picture, box.words)


def _line(canvas: Any, picture: Picture, line: Line) -> None:
    canvas.setLineWidth(pens.LINE_PEN * picture.scale)
    canvas.setStrokeGray(pens.LINE_GREY)
    canvas.setDash([part * picture.scale for part in pens.DASH] if line.dashed else [])
    for curve in pens.curves(line):
        canvas.drawPath(_path(canvas, picture, curve), stroke=1, fill=0)
    canvas.setDash([])
    head = pens.arrowhead(line)
    if head:
        canvas.setFillGray(pens.LINE_GREY)
        canvas.drawPath(_path(canvas, picture, head), stroke=0, fill=1)
    _words(canvas, picture, line.words)


def _path(canvas: Any, picture: Picture, path: Path) -> Any:
    """The same moves with y running up, as in PDF."""
    made = canvas.beginPath()
    for letter, points in path.segments:
        numbers = [number for x, y in points for number in (x, picture.height - y)]
        move = {"M": made.moveTo, "L": made.lineTo, "C": made.curveTo, "Z": made.close}[letter]
        move(*numbers)
    return made


def _words(canvas: Any, picture: Picture, words: Sequence[Word]) -> None:
    for word in words:
        text = canvas.beginText(word.left, picture.height - word.baseline)
        text.setFont(NAMES[word.bold], word.size)
        text.setFillGray(pens.SMALL_GREY if word.role == "small" else pens.BLACK)
        text.textOut(face(bold=word.bold).shown(word.text))
        canvas.drawText(text)
