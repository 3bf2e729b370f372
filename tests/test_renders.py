"""The committed posters show their trees as they stand: the words with their places, and the page as it looks."""

import io
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree as ET

import pypdfium2
import pytest
from PIL import Image, ImageChops
from pypdf import PdfReader

from diagtree.draw import pdf, svg
from diagtree.draw.body import Show
from diagtree.draw.compose import Look, compose
from diagtree.draw.legend import Extras
from diagtree.draw.picture import Picture, overflow
from diagtree.graph.serving import builds, served
from tests.renders import ADVICE, FOLDER, library, picture

TREES = tuple(library().trees)


def words(text: bytes) -> Counter[tuple[str, str, str]]:
    """Every line of words drawn, and where it stands."""
    root = ET.fromstring(text)  # noqa: S314  # our own file
    return Counter(
        ("".join(node.itertext()), node.get("x", ""), node.get("y", ""))
        for node in root.iter()
        if node.tag.endswith("}text")
    )


def page(data: bytes) -> Image.Image:
    """The first page in grey, at 30 dots per inch."""
    opened = pypdfium2.PdfDocument(io.BytesIO(data))
    try:
        made: Image.Image = opened[0].render(scale=30 / 72, grayscale=True).to_pil().convert("L")
    finally:
        opened.close()
    return made


@pytest.mark.parametrize("tree", TREES)
def test_the_poster_shows_the_tree_as_it_stands(tree: str) -> None:
    assert words((FOLDER / f"{tree}.svg").read_bytes()) == words(svg.paint(picture(tree))), ADVICE


@pytest.mark.parametrize("tree", TREES)
def test_the_poster_looks_as_it_would_now(tree: str) -> None:
    committed, now = page((FOLDER / f"{tree}.pdf").read_bytes()), page(pdf.paint([picture(tree)]))
    assert committed.size == now.size, ADVICE
    differing = sum(ImageChops.difference(committed, now).histogram()[64:])
    assert differing < 0.0005 * committed.width * committed.height, ADVICE


@pytest.mark.parametrize("tree", TREES)
def test_every_question_stands_in_the_pdf(tree: str) -> None:
    pages = PdfReader(FOLDER / f"{tree}.pdf").pages
    shown = "".join("".join(page.extract_text().split()) for page in pages)
    for check in library().trees[tree].checks:
        assert "".join(library().checks[check].ask.split()) in shown, ADVICE


@pytest.mark.parametrize("tree", TREES)
def test_every_poster_of_the_demo_fits_a0_in_type_for_a_wall(tree: str) -> None:
    made = picture(tree)
    assert made.paper == "A0"
    assert overflow(made) == ()
    least = {role: min(word.size for word in made.words if word.role == role) for role in ("question", "answer")}
    assert least["question"] >= 24
    assert least["answer"] >= 18 - 1e-9
    assert made.smallest >= 12


@pytest.mark.parametrize("tree", TREES)
def test_where_it_goes_on_the_other_poster_is_there(tree: str) -> None:
    reader = PdfReader(FOLDER / f"{tree}.pdf")
    links = [link.get_object() for link in reader.pages[0].get("/Annots", [])]
    files = {str(link["/A"]["/F"]) for link in links if "/A" in link}
    assert files == {f"{node.tree}.pdf" for node in library().trees[tree].onwards}
    assert all((FOLDER / name).is_file() for name in files)


def test_there_is_a_poster_of_each_tree_and_no_other() -> None:
    made = {path.name for path in Path(FOLDER).iterdir()}
    assert made == {f"{tree}.{ending}" for tree in TREES for ending in ("svg", "pdf")}


@pytest.mark.parametrize("paper", ["A0", "A2"])
@pytest.mark.parametrize("tree", TREES)
def test_the_poster_of_one_build_and_one_job_fits_the_wall_and_the_bench(tree: str, paper: str) -> None:
    """A2 is read from near: half as long, and the tree is laid out once for both."""
    made = library().trees[tree]
    for engine in served(library(), made):
        own = max(builds(engine), key=lambda build: len(build.id)).id
        look = Look(Show(builds=frozenset({own})), Extras(build=own, job="Job A-119"))
        drawn = compose(library(), made, (engine,), paper, look)
        assert isinstance(drawn, Picture), drawn
        assert overflow(drawn) == ()
