"""The SVG: well formed, said aloud, selectable."""

import base64
import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable

import pytest

from diagtree.draw import svg
from diagtree.draw.compose import compose
from diagtree.draw.font import face
from diagtree.draw.picture import Picture
from diagtree.model.library import Library
from diagtree.model.tree import Tree

NS = "{http://www.w3.org/2000/svg}"
Small = Callable[..., tuple[Library, Tree]]


def _root(picture: Picture) -> ET.Element:
    return ET.fromstring(svg.paint(picture))  # noqa: S314 (made here)


def _groups(root: ET.Element, kind: str) -> list[ET.Element]:
    return [group for group in root.iter(f"{NS}g") if group.get("class") == kind]


def test_the_root_has_role_title_description_and_language(picture: Picture) -> None:
    root = _root(picture)
    assert (root.get("role") or "").split() == ["graphics-document", "document"]  # links in an `img` are not told of
    named = [root.find(f"*[@id='{name}']") for name in (root.get("aria-labelledby") or "").split()]
    assert [element.tag if element is not None else "" for element in named] == [f"{NS}title", f"{NS}desc"]
    assert (root.findtext(f"{NS}title")) == picture.title
    assert root.get("{http://www.w3.org/XML/1998/namespace}lang") == root.get("lang") == "en"


def test_each_node_and_each_answer_is_a_group(picture: Picture) -> None:
    root = _root(picture)
    counts = {kind: len(_groups(root, kind)) for kind in ("question", "outcome", "onward")}
    assert counts == {kind: sum(box.kind == kind for box in picture.nodes) for kind in counts}
    answers = [group for group in _groups(root, "answer") if group.find(f"{NS}text") is not None]
    assert len(answers) == sum(not line.dashed for line in picture.lines)
    dashed = [group for group in _groups(root, "else") if group.find(f"{NS}text") is not None]
    assert len(dashed) == sum(line.dashed for line in picture.lines)
    assert all(group.find(f"{NS}path[@stroke-dasharray]") is not None for group in dashed)


def test_a_nodes_title_is_its_question_not_its_id(picture: Picture, library: Library, rattle: Tree) -> None:
    titles = {group.get("id"): group.findtext(f"{NS}title") or "" for group in _groups(_root(picture), "question")}
    for node in rattle.questions:
        assert titles[f"node-{node.id}"].startswith(library.checks[node.check].ask)


def test_connectors_and_boxes_that_go_on_are_links(picture: Picture) -> None:
    root = _root(picture)
    ids = {f"#{group.get('id')}" for group in root.iter(f"{NS}g")}
    links = [str(link.get("href")) for link in root.iter(f"{NS}a")]
    inside = [link for link in links if link.startswith("#")]
    assert len(inside) == len(picture.references) > 0
    assert set(inside) <= ids
    assert [link for link in links if link not in inside] == ["sludge.svg"]


def test_every_word_is_text_with_its_measured_length(picture: Picture) -> None:
    texts = [(text.text or "", text.get("textLength")) for text in _root(picture).iter(f"{NS}text")]
    assert sorted(text for text, _ in texts) == sorted(word.text for word in picture.words)
    assert all(length for _, length in texts)


def test_the_font_inside_draws_the_characters_used_at_the_measured_width(picture: Picture) -> None:
    from PIL import ImageFont

    style = _root(picture).findtext(f"{NS}style") or ""
    found = re.findall(r"font-weight:(\w+);src:url\(data:font/ttf;base64,([^)]+)\)", style)
    assert [weight for weight, _ in found] == ["normal", "bold"]
    for weight, data in found:
        bold = weight == "bold"
        font = ImageFont.truetype(io.BytesIO(base64.b64decode(data)), 1000)
        whole = ImageFont.truetype(str(face(bold=bold).path), 1000)
        for letter in sorted({letter for word in picture.words if word.bold == bold for letter in word.text}):
            assert font.getlength(letter) == pytest.approx(face(bold=bold).width(letter, 1000), abs=1)
            assert bytes(font.getmask(letter)) == bytes(whole.getmask(letter))


def test_a_hyphen_at_a_lines_end_is_one_that_a_browser_shows(small: Small) -> None:
    picture = compose(*small("Steuerkettenspannergehäuseverschraubung?"), ())
    assert isinstance(picture, Picture)
    assert any(word.text.endswith("\u00ad") for word in picture.words)
    texts = [text.text or "" for text in _root(picture).iter(f"{NS}text")]
    assert any(text.endswith("-") for text in texts)
    assert not any("\u00ad" in text for text in texts)


@pytest.mark.parametrize("words", ["<script>alert(1)</script>", "a & b < c > d", "]]>", "\x00\x1b[2J", "\ud800", "'\""])
def test_hostile_words_stay_words(small: Small, words: str) -> None:
    picture = compose(*small(words, words, words, words, words), ())
    assert isinstance(picture, Picture)
    root = _root(picture)
    assert not list(root.iter(f"{NS}script"))
    assert {element.tag for element in root.iter()} <= {
        f"{NS}{tag}" for tag in ["svg", "title", "desc", "style", "rect", "g", "path", "text", "a"]
    }


def test_two_runs_give_the_same_bytes(picture: Picture) -> None:
    assert svg.paint(picture) == svg.paint(picture)
