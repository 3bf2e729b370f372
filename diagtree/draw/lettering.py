"""Text on a PDF's page: our font, and boxes with codes where it has no shape. Every character can be found again."""

import io
import os
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from diagtree.draw.codebox import font_file, font_name, lacking, runs
from diagtree.draw.font import NAMES, printed
from diagtree.draw.truetype import load

_CLOCK = "SOURCE_DATE_EPOCH"


@dataclass(frozen=True, slots=True)
class Lettering:
    """The fonts of one document, as the PDF library knows them. `boxes`: empty where no text needs any."""

    boxes: str


def lettering(texts: Iterable[str]) -> Lettering:
    """Make the fonts known that these texts need."""
    from reportlab.pdfbase.pdfmetrics import getRegisteredFontNames, registerFont

    known = set(getRegisteredFontNames())
    for bold, name in NAMES.items():
        if name not in known:
            registerFont(printed(bold=bold))
    characters = lacking(texts)
    if not characters:
        return Lettering("")
    name = font_name(characters)
    if name not in known:
        registerFont(load(name, io.BytesIO(font_file(characters))))
    return Lettering(name)


def canvas(file: io.BytesIO, title: str, language: str) -> Any:
    """An empty document of the PDF library, the same bytes on every run. `lettering` comes first."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    # Pages in bytes as they are packed, not spelled out in five letters for four: a fifth smaller, and sooner written.
    rl_config.useA85 = 0
    # The library takes its time from here, and stops at a value that it cannot read: no clock is wanted at all.
    stated = os.environ.pop(_CLOCK, None)
    try:
        # `invariant`: no clock and no random id in the file.
        made = Canvas(file, invariant=1, pageCompression=1, lang=language, initialFontName=NAMES[False])
    finally:
        if stated is not None:
            os.environ[_CLOCK] = stated
    made._doc.info = _facts()  # noqa: SLF001 (it has no other door)
    made.setTitle(title)
    made.setCreator("diagtree")
    made.setProducer("diagtree")
    made.setViewerPreference("DisplayDocTitle", "true")
    return made


def _facts() -> Any:
    """What a document says of itself: nothing that nobody stated. The library's own would name a day in 2000 as that on
    which it was made, and an author `anonymous`.
    """
    from reportlab.pdfbase.pdfdoc import PDFDate, PDFDictionary, PDFInfo, PDFString

    class Facts(PDFInfo):  # type: ignore[misc]  # the library has no types
        def __init__(self) -> None:
            super().__init__()
            self.author = self.subject = ""

        def format(self, document: Any) -> Any:
            stated = {
                "Title": self.title,
                "Author": self.author,
                "Subject": self.subject,
                "Creator": self.creator,
                "Producer": self.producer,
            }
            made = {name: PDFString(words) for name, words in stated.items() if words}
            if self._dateFormatter:  # somebody stated the day
                made["CreationDate"] = PDFDate(ts=document._timeStamp, dateFormatter=self._dateFormatter)  # noqa: SLF001
            return PDFDictionary(made).format(document)

    return Facts()


def write(text: Any, fonts: Lettering, words: str, size: float, *, bold: bool = False) -> None:
    """Put words into a text object of the PDF library, at its place. `fonts` was made from texts that hold them."""
    for run in runs(words, bold=bold):
        text.setFont(fonts.boxes if run.boxed else NAMES[bold], size)
        text.textOut(run.text)
