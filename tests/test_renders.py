"""The committed posters show their trees as they stand. Structure is compared: places are the layout engine's."""

from collections import Counter
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader

from diagtree.draw import svg
from diagtree.draw.compose import compose
from diagtree.draw.picture import Picture
from diagtree.graph.serving import served
from diagtree.source.reader import read

ROOT = Path(__file__).parents[1]
LIBRARY = read(str(ROOT / "trees")).library
ADVICE = "make it again: diagtree --library trees draw TREE --out renders/TREE.svg (and .pdf)"


def words(text: bytes) -> Counter[str]:
    """Every word drawn."""
    root = ET.fromstring(text)  # noqa: S314  # our own file
    return Counter(
        piece for node in root.iter() if node.tag.endswith("}text") for piece in "".join(node.itertext()).split()
    )


@pytest.mark.parametrize("tree", LIBRARY.trees)
def test_the_poster_shows_the_tree_as_it_stands(tree: str) -> None:
    known = LIBRARY.trees[tree]
    picture = compose(LIBRARY, known, served(LIBRARY, known))
    if not isinstance(picture, Picture):
        pytest.skip(
            picture.sentence
        )  # no layout engine can be loaded on this machine; the sentence says what to install
    committed = (ROOT / "renders" / f"{tree}.svg").read_bytes()
    assert words(committed) == words(svg.paint(picture)), ADVICE


@pytest.mark.parametrize("tree", LIBRARY.trees)
def test_every_question_stands_in_the_pdf(tree: str) -> None:
    pages = PdfReader(ROOT / "renders" / f"{tree}.pdf").pages
    shown = "".join("".join(page.extract_text().split()) for page in pages)
    for check in LIBRARY.trees[tree].checks:
        assert "".join(LIBRARY.checks[check].ask.split()) in shown, ADVICE


def test_there_is_a_poster_of_each_tree_and_no_other() -> None:
    made = {path.name for path in (ROOT / "renders").iterdir()}
    assert made == {f"{tree}.{ending}" for tree in LIBRARY.trees for ending in ("svg", "pdf")}
