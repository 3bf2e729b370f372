"""A picture as SVG: words stay words, with our own font inside the file.

Each drawing carries the characters that it uses of our font, and each word its measured length: a viewer that
ignores fonts in files stretches or squeezes its own font into the same place.
"""

import base64
from collections.abc import Iterable, Iterator
from urllib.parse import quote
from xml.sax.saxutils import escape, quoteattr

from diagtree.draw import path as pens
from diagtree.draw.bidi import turns, visual
from diagtree.draw.font import SOFT_HYPHEN, clean
from diagtree.draw.path import Path
from diagtree.draw.picture import POINTS_PER_MM, Box, Line, Picture, Word
from diagtree.draw.subset import subset

ENDING = ".svg"
_INSTEAD = "'DejaVu Sans Condensed','DejaVu Sans',sans-serif"
FAMILY = "diagtree DejaVu Sans Condensed"


def paint(picture: Picture) -> bytes:
    """The picture as an SVG file, in UTF-8."""
    return ("\n".join(_lines(picture)) + "\n").encode()


def _lines(picture: Picture) -> Iterator[str]:
    width, height = _number(picture.width), _number(picture.height)
    across, down = (_number(side / POINTS_PER_MM) for side in (picture.width, picture.height))
    size = f'width="{across}mm" height="{down}mm"'
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {width} {height}"'
        # No `img`: what is inside an image is hidden from those who hear it read, and links are inside.
        f' role="graphics-document document" aria-labelledby="title description"'
        # Both: in a page of HTML only the second counts (from memory).
        f" xml:lang={quoteattr(picture.language)} lang={quoteattr(picture.language)}>"
    )
    yield f'<title id="title">{escape(picture.title)}</title>'
    yield f'<desc id="description">{escape(picture.description)}</desc>'
    yield f"<style>{_style(picture)}</style>"
    yield f'<rect width="{width}" height="{height}" fill="#fff"/>'
    for box in picture.panels:
        yield from _box(box, picture.scale)
    for line in (*picture.samples, *sorted(picture.lines, key=lambda line: (not line.dashed, line.pen))):
        yield from _line(line, picture.scale)
    for box in (*picture.nodes, *picture.references):
        yield from _box(box, picture.scale)
    yield "</svg>"


def _style(picture: Picture) -> str:
    faces = "".join(_face(picture, bold=bold) for bold in (False, True))
    return (
        f"{faces}text{{font-family:'{FAMILY}',{_INSTEAD};fill:{_grey(pens.BLACK)}}}"
        f".bold{{font-weight:bold}}.small{{fill:{_grey(pens.SMALL_GREY)}}}"
        ".line{fill:none}"
    )


def _face(picture: Picture, *, bold: bool) -> str:
    used = {character for word in picture.words if word.bold == bold for character in _shown(word)}
    if not used:
        return ""
    data = base64.b64encode(subset(used, bold=bold)).decode()
    weight = "bold" if bold else "normal"
    return f"@font-face{{font-family:'{FAMILY}';font-weight:{weight};src:url(data:font/ttf;base64,{data})}}"


def _box(box: Box, scale: float) -> Iterator[str]:
    node = (
        f" id={quoteattr('node-' + clean(box.id))}" if box.kind in {"question", "outcome", "onward", "missing"} else ""
    )
    link = _link(box)
    if link:
        yield f"<a href={quoteattr(link)}>"
    yield f'<g{node} class="{box.kind}">'
    if box.title:
        yield f"<title>{escape(box.title)}</title>"
    pen = pens.pen_of(box) * scale
    dots = (
        f' stroke-dasharray="{" ".join(_number(part * scale) for part in pens.DASH)}"' if box.border == "dotted" else ""
    )
    fill, ink = _grey(box.tone), _grey(pens.BLACK)
    if pen:
        style = f'fill="{fill}" stroke="{ink}" stroke-width="{_number(pen)}"{dots}'
        yield from (f'<path d="{_moves(outline)}" {style}/>' for outline in pens.outlines(box, scale))
    yield from _words(box.words, box.tone)
    yield "</g>"
    if link:
        yield "</a>"


def _link(box: Box) -> str:
    """A connector leads to its box, a box that goes on in another tree to the file `TREE.svg` beside this one."""
    if box.kind == "reference":
        return f"#node-{quote(box.target)}"
    return f"{quote(box.target)}{ENDING}" if box.kind == "onward" and box.target else ""


def _line(line: Line, scale: float) -> Iterator[str]:
    grey = _grey(pens.grey_of(line))
    dash = _dashes(scale) if line.dashed else ""
    moves = " ".join(map(_moves, pens.curves(line)))
    yield f'<g class="{"else" if line.dashed else "answer"}">'
    if line.title:
        yield f"<title>{escape(line.title)}</title>"
    yield f'<path class="line" d="{moves}" stroke="{grey}" stroke-width="{_number(line.pen * scale)}"{dash}/>'
    head = pens.arrowhead(line)
    if head:
        yield f'<path d="{_moves(head)}" fill="{grey}"/>'
    yield from _words(line.words)
    yield "</g>"


def _words(words: Iterable[Word], ground: float = 1.0) -> Iterator[str]:
    for word in words:
        pale = pens.print_of(word, ground) == pens.SMALL_GREY
        names = " ".join([*(["bold"] if word.bold else []), *(["small"] if pale else [])])
        style = f' class="{names}"' if names else ""
        if turns(word.text):  # it stands in the order in which it is set: a browser must not turn it again
            style += ' direction="ltr" unicode-bidi="bidi-override"'
        length = f' textLength="{_number(word.width)}" lengthAdjust="spacingAndGlyphs"' if word.width else ""
        yield (
            f'<text x="{_number(word.left)}" y="{_number(word.baseline)}" font-size="{_number(word.size)}"'
            f"{length}{style}>{escape(_shown(word))}</text>"
        )


def _shown(word: Word) -> str:
    """The characters as they are set. A browser shows a soft hyphen only where it breaks a line itself."""
    return visual(word.text).replace(SOFT_HYPHEN, "-")


def _dashes(scale: float) -> str:
    return f' stroke-dasharray="{" ".join(_number(part * scale) for part in pens.DASH)}"'


def _moves(path: Path) -> str:
    return " ".join(
        letter + " ".join(f"{_number(x)},{_number(y)}" for x, y in points) for letter, points in path.segments
    )


def _number(value: float) -> str:
    """Three decimals of a point at most: finer than any printer."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _grey(share: float) -> str:
    level = round(share * 255)
    return f"#{level:02x}{level:02x}{level:02x}"
