"""What each tree costs to walk as it is written, and what the best order of its checks would cost."""

from collections.abc import Iterator
from dataclasses import dataclass
from time import monotonic

from diagtree.graph.serving import builds, served
from diagtree.model.library import Library
from diagtree.reason.case import Case, case
from diagtree.reason.policy import best
from diagtree.reason.standing import start
from diagtree.reason.walking import walk_cost

# Seconds for a whole library, where nobody names any.
SECONDS = 10.0


@dataclass(frozen=True, slots=True)
class Cost:
    """One tree on one build. Money, come-backs among it."""

    tree: str
    engine: str
    build: str
    walk: float  # of the tree as it is written
    best: float  # of the best order found
    bound: float  # below every order
    exact: bool  # whether the two are the same, but for rounding


def costs(library: Library, seconds: float = SECONDS) -> Iterator[Cost]:
    """Every tree on every engine and build that it serves, in file order.

    The library must be without errors. The time is shared: what one needs less than its part goes to the others.
    A build in which no cause has a weight is left out.
    """
    cases = [
        found
        for tree in library.trees.values()
        for engine in served(library, tree)
        for build in builds(engine)
        if (found := case(library, tree, engine, build)).prior.any()
    ]
    end = monotonic() + seconds
    for at, one in enumerate(cases):
        yield _cost(one, max(0.0, end - monotonic()) / (len(cases) - at))


def _cost(of: Case, seconds: float) -> Cost:
    here = start(of)
    walk = walk_cost(here)
    found = best(here, seconds)
    # The tree as it is written is an order of checks too.
    cheapest = min(found.cost, walk)
    exact = found.exact or cheapest - found.bound <= 1e-9 * cheapest
    return Cost(of.tree.id, of.engine.id, of.build.id, walk, cheapest, min(found.bound, cheapest), exact)
