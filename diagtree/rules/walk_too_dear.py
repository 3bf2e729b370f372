"""A tree that costs more to walk than another order of its checks would.

The walk cost is the mean of what the checks, their access, the repair and the come-backs cost. An order of the same
checks that is cheaper by more than 8 per cent is worth a look: often a cheap check comes late, or a dear one tells
nothing new. The tables know nothing of safety, and nothing of what the engine is like after a check: where the order
is meant, leave it. Found only by `vet --costs`, as the best order takes time to find.

Wrong:
    start: cover-off-look      # two hours, before a gauge that takes minutes and tells the same
Right:
    start: oil-pressure
"""

from collections.abc import Iterable, Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.reason.costing import Cost
from diagtree.rules.wording import build_name

ID = "walk-too-dear"
SEVERITY: Severity = "warning"
# The walk may cost this much more than the best order that was found, which the best one is at most.
SHARE = 0.08


def judge(library: Library, costs: Iterable[Cost]) -> Iterator[Problem]:
    """Yield a warning for each tree, at its `start`, that names the build where it is dearest."""
    worst: dict[str, Cost] = {}
    for cost in costs:
        if cost.best > 0.0 and cost.walk > (1.0 + SHARE) * cost.best:
            known = worst.get(cost.tree)
            if known is None or cost.walk / cost.best > known.walk / known.best:
                worst[cost.tree] = cost
    for tree, cost in worst.items():
        engine = library.engines.get(cost.engine)
        build = engine.builds.get(cost.build) if engine else None
        where = f" in {build_name(engine, build)}" if engine and build else ""
        money = library.rates.currency
        message = (
            f"A walk costs {cost.walk:.2f} {money} on average{where}, and another order of its checks {cost.best:.2f}: "
            f"it is {100 * (cost.walk / cost.best - 1):.0f} per cent dearer. `diagtree next` shows where they part."
        )
        yield problem(library.value("tree", tree, "start"), ID, message, severity=SEVERITY)
