"""A feature that is named and that the engine has not.

A condition on it never matches, so that the step, part, check or fault silently drops out; an amount by it has no
value. What stands in an engine must be a feature of that engine. What stands in a check, a fault, a caution or a
tree's weights must be a feature of at least one engine.

Wrong:
    features: {chain: {title: Chain, values: [roller, inverted-tooth]}}
    work:
      renew-chain: {title: Renew the chain, hours: 1, when: {chian: roller}}
Right:
    features: {chain: {title: Chain, values: [roller, inverted-tooth]}}
    work:
      renew-chain: {title: Renew the chain, hours: 1, when: {chain: roller}}
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.rules.conditions import ANY, amounts, conditions, pools_of
from diagtree.rules.survey import stands
from diagtree.rules.wording import nearest

ID = "unknown-feature"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such name: in a `when`, in an amount by feature, in a build."""
    pools = pools_of(library)
    for engine, name, place in _named(library):
        known = pools[engine.id if engine else ANY]
        if name in known or _written(library, engine, name):
            continue
        whose = f"'{engine.id}' has no feature" if engine else "No engine has a feature"
        message = f"{whose} '{name}'. Correct the name, or write the feature."
        yield problem(place, ID, message, hint=nearest("feature", name, known), severity=SEVERITY)


def _written(library: Library, engine: Engine | None, name: str) -> bool:
    owners = library.engines.values() if engine is None else (engine,)
    return any(stands(library, "engine", owner.id, "features", name) for owner in owners)


def _named(library: Library) -> Iterator[tuple[Engine | None, str, Place]]:
    for stated in conditions(library):
        for name in stated.condition.features:
            yield stated.engine, name, library.key(stated.kind, stated.entry, *stated.path, name)
    for varied in amounts(library):
        name = varied.amount.feature
        yield varied.engine, name, library.key(varied.kind, varied.entry, *varied.path, name)
    for engine in library.engines.values():
        for build in engine.builds.values():
            for name in build.features:
                yield engine, name, library.key("engine", engine.id, "builds", build.id, name)
