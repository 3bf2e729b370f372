"""Work steps of one build that `after` and `follows` together put before one another.

Where all of them are in a scope, they have no order, and the job sheet can't be printed.

Wrong:
    work:
      fill-oil: {title: Fill oil, hours: 0.2, follows: [renew-chain]}
      renew-chain: {title: Renew the chain, hours: 0.4, follows: [fill-oil]}
Right:
    work:
      fill-oil: {title: Fill oil, hours: 0.2, follows: [renew-chain]}
      renew-chain: {title: Renew the chain, hours: 0.4}
"""

from collections.abc import Iterator

from diagtree.graph.labour import labour
from diagtree.model.engine import Build, Engine, Step
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.rings import chain, rings
from diagtree.rules.survey import sound_builds
from diagtree.rules.wording import build_name

ID = "order-ring"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each ring that holds a `follows`, for the first build that has it, at such a `follows`."""
    for engine in library.engines.values():
        if not any(step.follows for step in engine.work.values()) or _has_access_ring(engine):
            continue
        told: set[tuple[str, ...]] = set()
        for build in sound_builds(engine):
            for ring in _rings(engine, build):
                if ring not in told:
                    told.add(ring)
                    yield _problem(library, engine, build, ring)


def _has_access_ring(engine: Engine) -> bool:
    return any(rings({step.id: step.after for step in engine.work.values()}))


def _rings(engine: Engine, build: Build) -> Iterator[tuple[str, ...]]:
    return rings({step.id: (*step.after, *step.follows) for step in labour(engine, build).steps.values()})


def _problem(library: Library, engine: Engine, build: Build, ring: tuple[str, ...]) -> Problem:
    pairs = [(engine.work[name], following) for name, following in zip(ring, (*ring[1:], ring[0]), strict=True)]
    step, name = next(pair for pair in reversed(pairs) if _only_follows(*pair))
    message = (
        f"In {build_name(engine, build)} each of these steps comes after the next, in a ring: {chain(ring)}. "
        "Take one of them out of `follows`."
    )
    place = library.value("engine", engine.id, "work", step.id, "follows", step.follows.index(name))
    return problem(place, ID, message, severity=SEVERITY)


def _only_follows(step: Step, name: str) -> bool:
    return name in step.follows and name not in step.after
