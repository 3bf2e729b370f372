"""Pictures as a PDF, a page each: our own font embedded, real text, the same bytes on every run."""

import io
from collections.abc import Collection, Iterable, Sequence
from typing import Any

from diagtree.draw import path as pens
from diagtree.draw.bidi import visual
from diagtree.draw.lettering import Lettering, lettering
from diagtree.draw.lettering import canvas as empty
from diagtree.draw.operators import Operators
from diagtree.draw.picture import Box, Line, Picture, Word
from diagtree.source.collector import paused

ENDING = ".pdf"


@paused()
def paint(pictures: Sequence[Picture]) -> bytes:
    """The pictures as one PDF, with title and language, and a bookmark for each picture and each of its questions.

    A connector links to the box that it stands for. A box that goes on in another tree links to that tree's page where
    it is among the pictures, else to the file `TREE.pdf` beside this one.
    """
    fonts = letters(pictures)
    canvas, file = begin(pictures[0])
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
    """An empty document with the picture's title and language, and the file that it is written to. `letters` first."""
    file = io.BytesIO()
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
    ink = Operators(canvas, fonts, picture.height)
    for box in picture.panels:
        _box(ink, box, picture.scale)
    for line in (*picture.samples, *sorted(picture.lines, key=lambda line: (not line.dashed, line.pen))):
        _line(ink, line, picture.scale)
    for box in (*picture.nodes, *picture.references):
        _box(ink, box, picture.scale)
    canvas.addLiteral(ink.text)


def _box(ink: Operators, box: Box, scale: float) -> None:
    pen = pens.pen_of(box) * scale
    if pen:
        ink.pen(pen, pens.BLACK)
        ink.ground(box.tone)
        ink.dash(_dashes(scale) if box.border == "dotted" else ())
        for outline in pens.outlines(box, scale):
            ink.path(outline, stroke=True, fill=True)
        ink.dash()
    _words(ink, box.words, box.tone)


def _line(ink: Operators, line: Line, scale: float) -> None:
    ink.pen(line.pen * scale, pens.grey_of(line))
    ink.dash(_dashes(scale) if line.dashed else ())
    for curve in pens.curves(line):
        ink.path(curve, stroke=True, fill=False)
    ink.dash()
    head = pens.arrowhead(line)
    if head:
        ink.ground(pens.grey_of(line))
        ink.path(head, stroke=False, fill=True)
    _words(ink, line.words)


def _dashes(scale: float) -> list[float]:
    return [part * scale for part in pens.DASH]


def _words(ink: Operators, words: Iterable[Word], ground: float = 1.0) -> None:
    for word in words:
        ink.word(word, pens.print_of(word, ground))


def _bookmarks(canvas: Any, picture: Picture) -> None:
    for box in picture.nodes:
        key = f"{picture.id}/{box.id}"
        canvas.bookmarkHorizontal(key, box.extent.left, picture.height - box.extent.top)
        canvas.addOutlineEntry(f"{box.address} {box.title or box.id}".strip(), key, level=1, closed=True)


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
