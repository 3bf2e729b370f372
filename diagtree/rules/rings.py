"""Rings in a graph of names."""

from collections.abc import Iterable, Iterator, Mapping

_MOST = 20  # rings reported for one graph: each is put right on its own
_SHOWN = 12  # members that a sentence names


def rings(graph: Mapping[str, Iterable[str]]) -> Iterator[tuple[str, ...]]:
    """Rings, each as its members along the arrows, beginning with the one that stands first in `graph`.

    Every ring of the graph has an arrow in common with one of those given, unless there are very many.
    """
    from graphlib import CycleError, TopologicalSorter

    arrows = {name: {end: None for end in ends if end in graph} for name, ends in graph.items()}
    places = {name: place for place, name in enumerate(graph)}
    for _ in range(_MOST):
        try:
            TopologicalSorter(arrows).prepare()
        except CycleError as error:
            # The sorter reads an arrow as 'stands before', so its ring runs backwards.
            members = tuple(reversed(error.args[1]))[:-1]
        else:
            return
        first = min(range(len(members)), key=lambda index: places[members[index]])
        ring = members[first:] + members[:first]
        yield ring
        del arrows[ring[-1]][ring[0]]


def chain(ring: tuple[str, ...]) -> str:
    """A ring in words: 'a', 'b', 'a'."""
    names = [f"'{name}'" for name in (*ring, ring[0])]
    if len(names) > _SHOWN:
        left_out = len(names) - _SHOWN
        names[_SHOWN // 2 : -(_SHOWN // 2)] = [f"{left_out} more"]
    return " -> ".join(names)
