"""A tree's Bayesian net for other programs: XMLBIF, GraphML, JSON."""

import json
from collections.abc import Callable, Mapping
from typing import Any
from xml.etree import ElementTree as ET

from diagtree.model.library import NOTICE, Library
from diagtree.model.tree import Tree
from diagtree.reason.net import BUILD, CAUSE, Variable

_DESCRIPTIONS = {BUILD: "Which build is in the bay?", CAUSE: "What is behind the complaint?"}
_GRAPHML = "http://graphml.graphdrawing.org/xmlns"


def as_xmlbif(library: Library, tree: Tree, found: tuple[Variable, ...]) -> str:
    """The net as XMLBIF 0.3. In a table the own state runs fastest, then the last parent's.

    Without a document type: some readers stop at one that holds declarations.
    """
    root = ET.Element("BIF", VERSION="0.3")
    network = ET.SubElement(root, "NETWORK")
    _text(network, "NAME", tree.id)
    _text(network, "PROPERTY", f"notice = {NOTICE}")
    for one in found:
        variable = ET.SubElement(network, "VARIABLE", TYPE="nature")
        _text(variable, "NAME", one.name)
        for state in one.states:
            _text(variable, "OUTCOME", state)
        _text(variable, "PROPERTY", f"description = {description(library, one)}")
    for one in found:
        definition = ET.SubElement(network, "DEFINITION")
        _text(definition, "FOR", one.name)
        for parent in one.parents:
            _text(definition, "GIVEN", parent)
        _text(definition, "TABLE", " ".join(repr(cell) for cell in one.table.ravel().tolist()))
    ET.indent(root)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{ET.tostring(root, encoding="unicode")}\n'


def as_graphml(library: Library, tree: Tree, found: tuple[Variable, ...]) -> str:
    """The net's nodes and arcs as GraphML, without the tables."""
    root = ET.Element("graphml", xmlns=_GRAPHML)
    for key in ("description", "states"):
        ET.SubElement(root, "key", {"id": key, "for": "node", "attr.name": key, "attr.type": "string"})
    graph = ET.SubElement(root, "graph", id=tree.id, edgedefault="directed")
    for one in found:
        node = ET.SubElement(graph, "node", id=one.name)
        for key, value in (("description", description(library, one)), ("states", " ".join(one.states))):
            ET.SubElement(node, "data", key=key).text = value
    for one in found:
        for parent in one.parents:
            ET.SubElement(graph, "edge", source=parent, target=one.name)
    ET.indent(root)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{ET.tostring(root, encoding="unicode")}\n'


def as_json(library: Library, tree: Tree, found: tuple[Variable, ...]) -> str:
    """The net as one JSON object. A table is nested: a list for each parent in order, probabilities inmost."""
    variables = [
        {
            "name": one.name,
            "description": description(library, one),
            "states": list(one.states),
            "parents": list(one.parents),
            "table": one.table.tolist(),
        }
        for one in found
    ]
    data: dict[str, Any] = {"tree": tree.id, "revision": tree.revision or None, "variables": variables}
    return json.dumps({**data, "notice": NOTICE}, indent=1) + "\n"


def description(library: Library, one: Variable) -> str:
    """What a variable asks, in words."""
    return _DESCRIPTIONS.get(one.name) or library.checks[one.name].ask


def _text(parent: ET.Element, name: str, text: str) -> None:
    ET.SubElement(parent, name).text = text


BY_ENDING: Mapping[str, Callable[[Library, Tree, tuple[Variable, ...]], str]] = {
    ".xml": as_xmlbif,
    ".xmlbif": as_xmlbif,
    ".graphml": as_graphml,
    ".json": as_json,
}
