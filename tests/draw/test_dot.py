"""DOT text: what an author writes stays text."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.draw import dot
from diagtree.draw.font import clean
from diagtree.model.library import NOTICE, Library
from diagtree.model.tree import Tree

pygraphviz = pytest.importorskip("pygraphviz")

HOSTILE = [
    'a "quoted" word',
    "a back\\slash \\N \\G \\l",
    "<b>bold</b>",
    "<<table><tr><td>x</td></tr></table>>",
    "{left|right}",
    "&lt; &amp; &#65;",
    "first\nsecond",
    "end \\",
    '"]; evil [label="x',
    "// no /* comment */ # here",
]


def _shown(label: str) -> str:
    """What the engine itself paints for a label."""
    graph = pygraphviz.AGraph(string=f"digraph {{ n [label={dot.quote(label)}]; }}")
    root = ET.fromstring(graph.draw(format="svg", prog="dot"))  # noqa: S314 (made here)
    return " ".join(text.text or "" for text in root.iter("{http://www.w3.org/2000/svg}text"))


@pytest.mark.parametrize("label", HOSTILE)
def test_hostile_labels_are_shown_as_they_were_written(label: str) -> None:
    assert " ".join(_shown(label).split()) == " ".join(label.split())


@given(st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z", "M"]), min_size=1, max_size=30))
@settings(max_examples=60, deadline=None)
def test_any_label_is_shown_as_it_was_written(label: str) -> None:
    assert _shown(label) == label


@given(st.text(min_size=1, max_size=30).filter(lambda text: "\0" not in text and text.isprintable()))
@settings(max_examples=60, deadline=None)
def test_any_name_stays_one_name(name: str) -> None:
    graph = pygraphviz.AGraph(string=f"digraph {{ {dot.name(name)} -> other; {dot.name('x' + name)} -> other; }}")
    assert graph.number_of_nodes() == len({name, f"x{name}", "other"})


def test_a_tree_reads_back_with_every_node_and_answer(library: Library, rattle: Tree) -> None:
    graph = pygraphviz.AGraph(string=dot.text(library, rattle))
    assert set(graph.nodes()) == set(rattle.nodes)
    keys = sorted((edge[0], edge[1], edge.attr["key"] or edge.name) for edge in graph.edges())
    wanted = [(node.id, end, answer) for node in rattle.questions for answer, end in node.then.items()]
    wanted += [(node.id, node.otherwise, "else") for node in rattle.questions if node.otherwise]
    assert keys == sorted(wanted)


def test_questions_faults_answers_and_the_notice_stand_in_it(library: Library, rattle: Tree) -> None:
    text = re.sub(r"\\n", " ", dot.text(library, rattle))
    for words in ("What does the underside of the filler cap show?", "Primary chain elongated", "Bright metal", NOTICE):
        assert words in text
    assert text.count("style=dashed") == sum(bool(node.otherwise) for node in rattle.questions)


@pytest.mark.parametrize("words", HOSTILE)
def test_a_hostile_tree_is_still_one_tree(small: Callable[..., tuple[Library, Tree]], words: str) -> None:
    library, tree = small(words, words, words, words)
    graph = pygraphviz.AGraph(string=dot.text(library, tree))
    assert set(graph.nodes()) == {"n", "x", "y"}
    assert graph.number_of_edges() == 3
    label = str(graph.get_node("n").attr["label"]).replace("\\n", "").replace(" ", "")
    assert label == dot.quote(clean(words).replace(" ", ""))[1:-1].replace('\\"', '"')
