from graphlib import TopologicalSorter

from hypothesis import given
from hypothesis import strategies as st

from diagtree.rules.rings import chain, rings

NAMES = ("a", "b", "c", "d", "e")
GRAPHS = st.fixed_dictionaries({name: st.lists(st.sampled_from(NAMES), max_size=3, unique=True) for name in NAMES})


@given(GRAPHS)
def test_each_ring_follows_arrows_and_begins_with_its_first_member(graph: dict[str, list[str]]) -> None:
    for ring in rings(graph):
        assert len(set(ring)) == len(ring)
        assert all(after in graph[name] for name, after in zip(ring, (*ring[1:], ring[0]), strict=True))
        assert ring[0] == min(ring, key=list(graph).index)


@given(GRAPHS)
def test_without_the_closing_arrows_no_ring_is_left(graph: dict[str, list[str]]) -> None:
    left = {name: list(ends) for name, ends in graph.items()}
    for ring in rings(graph):
        left[ring[-1]].remove(ring[0])
    TopologicalSorter(left).prepare()


def test_names_outside_the_graph_are_no_matter() -> None:
    assert list(rings({"a": ["b", "unknown"], "b": []})) == []


def test_a_ring_in_words_comes_back_to_its_start() -> None:
    assert chain(("a", "b")) == "'a' -> 'b' -> 'a'"
