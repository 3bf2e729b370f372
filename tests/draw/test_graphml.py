"""GraphML, read again by networkx."""

import io

import networkx as nx

from diagtree.draw import graphml
from diagtree.draw.addresses import addresses
from diagtree.draw.picture import Picture
from diagtree.graph.trees import graph
from diagtree.model.library import Library
from diagtree.model.tree import Tree


def test_it_reads_back_with_the_nodes_and_answers_of_tree_and_drawing(
    library: Library, rattle: Tree, picture: Picture
) -> None:
    read = nx.read_graphml(io.BytesIO(graphml.text(library, rattle, addresses(library, rattle))), force_multigraph=True)
    made = graph(library, rattle)
    assert set(read.nodes) == set(made.nodes) == {box.id for box in picture.nodes}
    edges = sorted((source, target, facts["answer"]) for source, target, facts in read.edges(data=True))
    assert (
        edges == sorted(made.edges(keys=True)) == sorted((line.source, line.target, line.key) for line in picture.lines)
    )
    assert {name: facts["kind"] for name, facts in read.nodes(data=True)} == {
        name: facts["kind"] for name, facts in made.nodes(data=True)
    }
    assert {name: facts["address"] for name, facts in read.nodes(data=True)} == addresses(library, rattle)
    assert read.graph["start"] == rattle.start
