"""The PDF, opened again by another library."""

import io
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from diagtree.draw import pdf
from diagtree.draw.compose import compose
from diagtree.draw.picture import Picture
from diagtree.graph.serving import served
from diagtree.model.library import Library
from diagtree.model.tree import Tree

Small = Callable[..., tuple[Library, Tree]]


def _open(data: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(data), strict=True)


def _text(page: pypdf.PageObject) -> str:
    return " ".join(page.extract_text().split())


def test_every_question_fault_and_answer_is_in_its_text(picture: Picture, library: Library) -> None:
    text = _text(_open(pdf.paint([picture])).pages[0])
    for word in picture.words:
        assert word.text in text
    assert library.checks["filler-cap"].ask in text
    for line in picture.lines:
        assert " ".join(word.text for word in line.words) in text


def test_every_font_is_ours_and_embedded(picture: Picture) -> None:
    page = _open(pdf.paint([picture])).pages[0]
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    assert {str(font["/BaseFont"]).partition("+")[2] for font in fonts} == {
        "DejaVuSansCondensed",
        "DejaVuSansCondensed-Bold",
    }
    assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)


def test_it_has_title_language_and_a_bookmark(picture: Picture) -> None:
    reader = _open(pdf.paint([picture]))
    assert reader.metadata is not None
    assert reader.metadata.title == picture.title
    assert reader.trailer["/Root"]["/Lang"] == "en"
    title, boxes = reader.outline
    assert title.title == picture.title
    assert [entry.title for entry in boxes] == [f"{box.address} {box.title}" for box in picture.nodes]
    assert len({entry.title for entry in boxes}) == len(picture.nodes)
    noted = next(box.title for box in picture.nodes if box.id == "top-up")
    assert noted == "Oil level low. Then find where the oil went."


def test_it_claims_no_author_and_no_day_that_nobody_stated(picture: Picture) -> None:
    found = _open(pdf.paint([picture])).metadata
    assert found is not None
    assert set(found) == {"/Title", "/Subject", "/Creator", "/Producer"}


def test_the_page_is_the_pictures_size(picture: Picture) -> None:
    box = _open(pdf.paint([picture])).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((picture.width, picture.height), abs=0.01)


def _links(page: pypdf.PageObject) -> list[pypdf.generic.DictionaryObject]:
    return [found.get_object() for found in page.get("/Annots", [])]


def _page_of(reader: pypdf.PdfReader, link: pypdf.generic.DictionaryObject) -> int:
    destination = reader.named_destinations[str(link["/Dest"])] if isinstance(link["/Dest"], str) else link["/Dest"]
    page = destination.page if hasattr(destination, "page") else destination[0]
    assert page is not None
    return [found.indirect_reference for found in reader.pages].index(getattr(page, "indirect_reference", page))


def test_a_box_that_goes_on_links_to_that_trees_page(picture: Picture, library: Library) -> None:
    tree = library.trees["sludge"]
    other = compose(library, tree, served(library, tree))
    assert isinstance(other, Picture)
    reader = _open(pdf.paint([picture, other]))
    (box,) = (found.extent for found in picture.nodes if found.kind == "onward")
    (link,) = (found for found in _links(reader.pages[0]) if _page_of(reader, found) == 1)
    left, bottom, right, top = map(float, link["/Rect"])
    assert (left, right) == pytest.approx((box.left, box.right), abs=0.01)
    assert (picture.height - top, picture.height - bottom) == pytest.approx((box.top, box.bottom), abs=0.01)


def test_a_box_that_goes_on_to_a_tree_outside_links_to_its_file(picture: Picture) -> None:
    actions = [link["/A"] for link in _links(_open(pdf.paint([picture])).pages[0]) if "/A" in link]
    assert [(action["/S"], action["/F"]) for action in actions] == [("/GoToR", "sludge.pdf")]


def test_every_connector_links_to_the_box_that_it_stands_for(picture: Picture) -> None:
    reader = _open(pdf.paint([picture]))
    links = [link for link in _links(reader.pages[0]) if "/Dest" in link]
    assert len(links) == len(picture.references) > 0
    assert {_page_of(reader, link) for link in links} == {0}


def test_two_runs_and_two_processes_give_the_same_bytes(picture: Picture, yaml_file: Path, tmp_path: Path) -> None:
    first = pdf.paint([picture])
    assert pdf.paint([picture]) == first
    out = tmp_path / "x.pdf"
    program = (
        "from pathlib import Path; from diagtree.source.reader import read; from diagtree.draw import compose, pdf;"
        "from diagtree.graph.serving import served;"
        f"lib = read({str(yaml_file)!r}).library; tree = lib.trees['rattle'];"
        f"Path({str(out)!r}).write_bytes(pdf.paint([compose.compose(lib, tree, served(lib, tree))]))"
    )
    # Another home, language and hash seed, and no font configuration at all.
    env = {"PATH": "", "HOME": str(tmp_path), "LC_ALL": "C", "PYTHONHASHSEED": "7", "FONTCONFIG_FILE": "/dev/null"}
    subprocess.run([sys.executable, "-c", program], check=True, env=env, cwd=Path(__file__).parents[2])
    assert out.read_bytes() == first


def test_what_the_font_lacks_can_still_be_found_in_the_text(small: Small) -> None:
    picture = compose(*small("\N{CJK UNIFIED IDEOGRAPH-6CB9} level?"), ())
    assert isinstance(picture, Picture)
    text = _text(_open(pdf.paint([picture])).pages[0])
    assert "\N{CJK UNIFIED IDEOGRAPH-6CB9} level?" in text
    assert "has no shape for" in text


def test_pdf_strings_of_an_author_stay_strings(small: Small) -> None:
    words = "close ) Tj ( open \\ (nested) <</JS (x)>>"
    picture = compose(*small(words, title=words), ())
    assert isinstance(picture, Picture)
    reader = _open(pdf.paint([picture]))
    assert reader.metadata is not None
    assert reader.metadata.title == words
    assert "Tj ( open" in _text(reader.pages[0])


def test_nothing_is_said_by_colour(picture: Picture) -> None:
    """Every paint operator is one of grey: a grey copy is the same sheet."""
    data = _open(pdf.paint([picture])).pages[0].get_contents()
    assert data is not None
    operators = {line.split()[-1] for line in data.get_data().decode("latin-1").splitlines() if line.split()}
    assert operators & {"g", "G"}
    assert not operators & {"rg", "RG", "k", "K", "sc", "SC", "scn", "SCN"}


def test_an_empty_note_costs_nothing(small: Small) -> None:
    picture = compose(*small(), ())
    assert isinstance(picture, Picture)
    assert pdf.paint([replace(picture, samples=())]) != pdf.paint([picture])
