"""A tree as GraphML, for programs that read graphs: nodes with what they say, an edge for each answer."""

from collections.abc import Mapping
from xml.etree import ElementTree as ET

from diagtree.draw.font import clean
from diagtree.graph.trees import answer_text, kind_of, links, node_ids, says
from diagtree.model.library import NOTICE, Library
from diagtree.model.tree import Tree

_NAMESPACE = "http://graphml.graphdrawing.org/xmlns"
_KEYS = (
    ("title", "graph"),
    ("start", "graph"),
    ("notice", "graph"),
    ("kind", "node"),
    ("label", "node"),
    ("address", "node"),
    ("answer", "edge"),
    ("says", "edge"),
)


def text(library: Library, tree: Tree, addresses: Mapping[str, str]) -> bytes:
    """A GraphML file, in UTF-8.

    Nodes have `kind` (question, outcome, onward, missing), `label` and `address`; edges have `answer`, the answer's id
    or `else`, and `says`.
    """
    root = ET.Element("graphml", xmlns=_NAMESPACE)
    for name, owner in _KEYS:
        ET.SubElement(root, "key", {"id": name, "for": owner, "attr.name": name, "attr.type": "string"})
    made = ET.SubElement(root, "graph", {"id": tree.id, "edgedefault": "directed"})
    _put(made, {"title": tree.title, "start": tree.start, "notice": NOTICE})
    for name in node_ids(tree):
        node = tree.nodes.get(name)
        label = "; ".join(says(library, node)) if node else name
        facts = {"kind": kind_of(node), "label": label, "address": addresses.get(name, "")}
        _put(ET.SubElement(made, "node", {"id": name}), facts)
    for number, link in enumerate(links(tree)):
        edge = ET.SubElement(made, "edge", {"id": f"e{number}", "source": link.source, "target": link.target})
        _put(edge, {"answer": link.key, "says": answer_text(library, tree, link)})
    ET.indent(root)
    made_text: bytes = ET.tostring(root, encoding="UTF-8", xml_declaration=True)
    return made_text + b"\n"


def _put(element: ET.Element, facts: Mapping[str, str]) -> None:
    for name, value in facts.items():
        ET.SubElement(element, "data", {"key": name}).text = clean(value)
