"""Work steps that each give access to the other.

None of them could be done first, and no scope that needs one of them has an order.

Wrong:
    work:
      cover-off: {title: Cover off, hours: 1, after: [balancer-off]}
      balancer-off: {title: Balancer off, hours: 0.5, after: [cover-off]}
Right:
    work:
      cover-off: {title: Cover off, hours: 1, after: [balancer-off]}
      balancer-off: {title: Balancer off, hours: 0.5}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.rings import chain, rings

ID = "access-ring"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each ring of `after`, over the whole engine, at the name that closes it."""
    for engine in library.engines.values():
        for ring in rings({step.id: step.after for step in engine.work.values()}):
            last = engine.work[ring[-1]]
            message = (
                f"Each of these steps comes after the next, in a ring: {chain(ring)}. Take one of them out of `after`."
            )
            place = library.value("engine", engine.id, "work", last.id, "after", last.after.index(ring[0]))
            yield problem(place, ID, message, severity=SEVERITY)
