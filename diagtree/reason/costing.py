"""What each tree costs to walk as it is written, and what the best order of its checks would cost."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from time import monotonic

from diagtree.graph.serving import builds, served
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.case import Case, case
from diagtree.reason.policy import MOST_NODES, best
from diagtree.reason.standing import start
from diagtree.reason.walking import walk_and_asked_cost

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


@dataclass(frozen=True, slots=True)
class Task:
    """One tree on one build, with no more of the library than it needs: what is sent to a worker."""

    library: Library
    tree: str
    engine: str
    build: str
    nodes: int  # sets of answers that a search may meet


def tasks(library: Library, nodes: int) -> tuple[Task, ...]:
    """A task for each tree on each engine and build that it serves, in file order.

    The library must be without errors. A build in which no cause has a weight comes to nothing.
    """
    return tuple(
        Task(part, tree.id, engine.id, build.id, nodes)
        for tree in library.trees.values()
        for part in [_part(library, tree)]
        for engine in served(library, tree)
        for build in builds(engine)
    )


def work_out(task: Task) -> Cost | None:
    """The cost of a task, the same on every machine; None where no cause has a weight."""
    library = task.library
    tree = library.trees[task.tree]
    engine = next(one for one in served(library, tree) if one.id == task.engine)
    build = next(one for one in builds(engine) if one.id == task.build)
    found = case(library, tree, engine, build)
    return _cost(found, None, task.nodes) if found.prior.any() else None


def _part(library: Library, tree: Tree) -> Library:
    """The library with this tree and those that it goes on in, and without the places of its values."""
    wanted, waiting = dict[str, Tree](), [tree]
    while waiting:
        one = waiting.pop()
        if one.id not in wanted:
            wanted[one.id] = one
            waiting += [library.trees[node.tree] for node in one.onwards]
    checks = {name for one in wanted.values() for name in one.checks}
    faults = {name for one in wanted.values() for name in one.weights}
    return replace(
        library,
        trees={name: one for name, one in library.trees.items() if name in wanted},
        checks={name: one for name, one in library.checks.items() if name in checks},
        faults={name: one for name, one in library.faults.items() if name in faults},
        origins={},
    )


def _cost(of: Case, seconds: float | None, nodes: int = MOST_NODES) -> Cost:
    here = start(of)
    walk, asked = walk_and_asked_cost(here)
    found = best(here, seconds, nodes=nodes)
    # The tree's own questions are an order of checks too: the search is weak where costs depend on another tree.
    cheapest = min(found.cost, asked)
    exact = found.exact or cheapest - found.bound <= 1e-9 * cheapest
    return Cost(of.tree.id, of.engine.id, of.build.id, walk, cheapest, min(found.bound, cheapest), exact)
