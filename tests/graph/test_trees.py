"""Trees as networkx graphs."""

from diagtree.graph.trees import answer_text, graph, links, node_ids
from diagtree.model.check import Answer, Check
from diagtree.model.fault import Fault
from diagtree.model.library import Library
from diagtree.model.quantity import Amount, Hours
from diagtree.model.tree import Node, Onward, Outcome, Question, Tree

CHECK = Check(
    "level", "Where is the oil?", (Answer("low", "Low"), Answer("ok", ""), Answer("high", "High")), Hours(1, 1, 1)
)
FAULTS = {name: Fault(name, title, "", (), ()) for name, title in (("a", "Fault A"), ("b", "Fault B"))}
NODES: dict[str, Node] = {
    "start": Question("start", "level", {"low": "end", "ok": "end", "high": "on"}, otherwise="end"),
    "end": Outcome("end", ("a", "b")),
    "on": Onward("on", "other-tree"),
}
TREE = Tree("t", "Title", {"a": Amount(1.0)}, "start", NODES)
LIBRARY = Library(
    checks={"level": CHECK}, faults=FAULTS, trees={"t": TREE, "other-tree": Tree("other-tree", "Other", {}, "x", {})}
)


def test_each_answer_is_an_edge_of_its_own_even_where_two_lead_to_one_node() -> None:
    made = graph(LIBRARY, TREE)
    assert sorted(made.edges(keys=True)) == [
        ("start", "end", "else"),
        ("start", "end", "low"),
        ("start", "end", "ok"),
        ("start", "on", "high"),
    ]


def test_nodes_say_what_they_are_and_what_stands_in_them() -> None:
    made = graph(LIBRARY, TREE)
    assert {name: made.nodes[name] for name in made} == {
        "start": {"kind": "question", "label": "Where is the oil?"},
        "end": {"kind": "outcome", "label": "Fault A\nFault B"},
        "on": {"kind": "onward", "label": "Other"},
    }


def test_answers_are_words_and_an_answer_without_words_is_its_id() -> None:
    words = {link.key: answer_text(LIBRARY, TREE, link) for link in links(TREE)}
    assert words == {"low": "Low", "ok": "ok", "high": "High", "else": ""}


def test_a_name_that_no_node_has_is_a_node_of_its_own_kind() -> None:
    broken = Tree("t", "", {}, "start", {"start": Question("start", "level", {"low": "gone"})})
    assert node_ids(broken) == ("start", "gone")
    assert graph(LIBRARY, broken).nodes["gone"] == {"kind": "missing", "label": "gone"}


def test_what_the_library_lacks_is_named_by_its_id() -> None:
    made = graph(Library(), TREE)
    assert [made.nodes[name]["label"] for name in made] == ["level", "a\nb", "other-tree"]
    assert made.edges["start", "on", "high"]["label"] == "high"
