"""Text on a PDF's page is found again, character by character, whatever our font lacks."""

import io

import pypdf
import pypdfium2
import pytest

from diagtree.draw.font import NAMES
from diagtree.draw.lettering import lettering, write

TEXTS = [
    "Oil pressure → 95 kPa, 漢字カナ混じり文 한국어",
    "\U0001f469 beside \U0001f1fa, past U+FFFF",
    "<b>bold</b> &amp; (\\) Tj ET endstream",
    " ".join(chr(0x4E00 + number) for number in range(300)),  # more than one font of the PDF holds
]


def page(text: str, *, bold: bool) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    file = io.BytesIO()
    fonts = lettering([text])
    canvas = Canvas(file, pagesize=(9000, 100), invariant=1, initialFontName=NAMES[False])
    words = canvas.beginText(10, 50)
    write(words, fonts, text, 12, bold=bold)
    canvas.drawText(words)
    canvas.save()
    return file.getvalue()


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", TEXTS, ids=["east", "past four digits", "mark-up", "many"])
def test_two_readers_find_the_text(text: str, bold: bool) -> None:
    data = page(text, bold=bold)
    found = pypdf.PdfReader(io.BytesIO(data), strict=True).pages[0].extract_text()
    assert "".join(found.split()) == "".join(text.split())
    document = pypdfium2.PdfDocument(data)
    found = document[0].get_textpage().get_text_range()
    assert "".join(found.split()) == "".join(text.split())


def test_the_same_text_makes_the_same_bytes() -> None:
    assert page(TEXTS[0], bold=False) == page(TEXTS[0], bold=False)


def test_every_font_is_inside() -> None:
    reader = pypdf.PdfReader(io.BytesIO(page(TEXTS[0], bold=True)), strict=True)
    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].values()]
    names = {str(font["/BaseFont"]).partition("+")[2].partition("-")[0] for font in fonts}
    assert names == {"CodeBoxes", *(name.partition("-")[0] for name in NAMES.values())}
    assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)


def test_two_texts_with_boxes_do_not_take_each_others_font() -> None:
    """The PDF library takes fonts of one name for the same."""
    for text in (TEXTS[0], "油", TEXTS[1]):
        found = pypdf.PdfReader(io.BytesIO(page(text, bold=False)), strict=True).pages[0].extract_text()
        assert "".join(found.split()) == "".join(text.split())
