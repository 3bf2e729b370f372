"""An engine's work as a directed graph, and the order in which steps are done."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from diagtree.model.engine import Engine

if TYPE_CHECKING:
    import networkx as nx

    WorkGraph = nx.DiGraph[str]


def graph(engine: Engine, steps: Iterable[str], *, follows: bool = True) -> "WorkGraph":
    """The order among `steps`: an edge from each step to those that stand after it.

    Args:
        engine: whose work it is.
        steps: ids; those that the engine lacks are left out.
        follows: whether `follows` counts beside `after`.
    """
    import networkx as nx

    order: WorkGraph = nx.DiGraph()
    order.add_nodes_from(step for step in steps if step in engine.work)
    for name in list(order):
        step = engine.work[name]
        before = (*step.after, *step.follows) if follows else step.after
        order.add_edges_from((other, name) for other in before if other in order)
    return order


def plan(engine: Engine, steps: Iterable[str]) -> tuple[str, ...]:
    """`steps` in an order in which each stands after its `after` and those of its `follows` that are among them.

    Of the steps that could be next, the first in the file is. Where `follows` makes a ring (a problem of the library)
    it is left aside; where `after` itself does, the order is the file's.
    """
    import networkx as nx

    wanted = set(steps)
    rank = {name: place for place, name in enumerate(engine.work)}
    for follows in (True, False):
        try:
            order = graph(engine, wanted, follows=follows)
            return tuple(nx.lexicographical_topological_sort(order, key=rank.__getitem__))
        except nx.NetworkXUnfeasible:
            continue
    return tuple(name for name in engine.work if name in wanted)
