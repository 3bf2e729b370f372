"""A tree as a networkx graph: nodes with what they say, an edge for each answer."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from diagtree.model.library import Library
from diagtree.model.tree import Node, Onward, Outcome, Question, Tree

if TYPE_CHECKING:
    import networkx as nx

ELSE = "else"  # the key of the edge taken when the answer cannot be had

Kind: TypeAlias = Literal["question", "outcome", "onward", "missing"]


@dataclass(frozen=True, slots=True)
class Link:
    """An answer's way from a question to a node. `key` is the answer's id, or `else`."""

    source: str
    target: str
    key: str


def links(tree: Tree) -> Iterator[Link]:
    """The answers of a tree in file order, each question's `else` last."""
    for node in tree.questions:
        yield from (Link(node.id, target, answer) for answer, target in node.then.items())
        if node.otherwise:
            yield Link(node.id, node.otherwise, ELSE)


def kind_of(node: Node | None) -> Kind:
    """What a node is; a name that an answer leads to and that no node has is `missing`."""
    match node:
        case Question():
            return "question"
        case Outcome():
            return "outcome"
        case Onward():
            return "onward"
    return "missing"


def node_ids(tree: Tree) -> tuple[str, ...]:
    """The nodes in file order, then the names that answers lead to and no node has."""
    return tuple(dict.fromkeys((*tree.nodes, *(link.target for link in links(tree)))))


def says(library: Library, node: Node) -> tuple[str, ...]:
    """What a node says: its question, its faults' titles, or the title of the tree that it goes on in.

    An id stands where the library has no such entry.
    """
    match node:
        case Question():
            check = library.checks.get(node.check)
            return (check.ask if check else node.check,)
        case Outcome():
            found = ((name, library.faults.get(name)) for name in node.faults)
            return tuple(fault.title if fault else name for name, fault in found)
        case Onward():
            tree = library.trees.get(node.tree)
            return (tree.title if tree else node.tree,)


def answer_text(library: Library, tree: Tree, link: Link) -> str:
    """An answer in words: its text, its id where it has none; empty for `else`."""
    node = tree.nodes.get(link.source)
    if link.key == ELSE and isinstance(node, Question) and ELSE not in node.then:
        return ""
    check = library.checks.get(node.check) if isinstance(node, Question) else None
    answer = check.answer(link.key) if check else None
    return (answer.text.strip() if answer else "") or link.key


def graph(library: Library, tree: Tree) -> "nx.MultiDiGraph[str]":
    """A tree as a multigraph: one question can send two answers to one node.

    Returns:
        Nodes in file order with `kind` (question, outcome, onward, missing) and `label` (what it says, on one line
        for each fault). Edges with the answer's id, or `else`, as key and the answer's words as `label`. The graph has
        `id`, `title` and `start`.
    """
    import networkx as nx

    made: nx.MultiDiGraph[str] = nx.MultiDiGraph(id=tree.id, title=tree.title, start=tree.start)
    for name in node_ids(tree):
        node = tree.nodes.get(name)
        label = "\n".join(says(library, node)) if node else name
        made.add_node(name, kind=kind_of(node), label=label)
    for link in links(tree):
        made.add_edge(link.source, link.target, key=link.key, label=answer_text(library, tree, link))
    return made
