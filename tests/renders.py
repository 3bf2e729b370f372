"""`python -m tests.renders`: make the posters in `renders/` again, one PDF and one SVG for each tree that ships."""

import sys
from functools import cache
from pathlib import Path

from diagtree.draw import pdf, svg
from diagtree.draw.body import Show
from diagtree.draw.compose import WALL, Look, compose
from diagtree.draw.legend import Extras
from diagtree.draw.picture import Picture
from diagtree.draw.showing import pens
from diagtree.graph.serving import builds, served
from diagtree.model.library import Library
from diagtree.reason.flow import flow, mean
from diagtree.source.reader import read

ROOT = Path(__file__).parents[1]
FOLDER = ROOT / "renders"
PAPER = "A0"
ADVICE = "make them again: python -m tests.renders"


@cache
def library() -> Library:
    """The demo library."""
    return read(str(ROOT / "trees")).library


@cache
def picture(name: str) -> Picture:
    """The poster of a tree as it ships, on A0; where it does not fit there, as large as its type asks for."""
    tree = library().trees[name]
    engines = served(library(), tree)
    found = mean([one for engine in engines if (one := flow(library(), tree, engine, builds(engine)))])
    widths, scale = pens(tree, found.links) if found else ({}, ())
    look = Look(Show(pens=widths), Extras(pens=scale))
    made = compose(library(), tree, engines, PAPER, look)
    made = made if isinstance(made, Picture) else compose(library(), tree, engines, WALL, look)
    assert isinstance(made, Picture)
    return made


def main() -> int:
    """Write every poster, and take away those of trees that are gone."""
    FOLDER.mkdir(exist_ok=True)
    written = set()
    for name in library().trees:
        for ending, data in ((".pdf", pdf.paint([picture(name)])), (".svg", svg.paint(picture(name)))):
            path = FOLDER / f"{name}{ending}"
            path.write_bytes(data)
            written.add(path)
            sys.stdout.write(f"{path.relative_to(ROOT)}: {len(data):,} bytes, {picture(name).paper or 'own size'}\n")
    for path in set(FOLDER.iterdir()) - written:
        path.unlink()
    return 0


if __name__ == "__main__":
    sys.exit(main())
