"""A value that its feature has not.

A condition on it never matches, and a build that has it is met by no condition: what was meant silently drops out.
Values are compared as text.

Wrong:
    features: {chain: {title: Chain, values: [roller, inverted-tooth]}}
    builds:
      early: {chain: rollers}
Right:
    features: {chain: {title: Chain, values: [roller, inverted-tooth]}}
    builds:
      early: {chain: roller}
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.rules.conditions import ANY, amounts, conditions, pools_of
from diagtree.rules.wording import nearest

ID = "unknown-value"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such value: in a `when`, in an amount by feature, in a build."""
    pools = pools_of(library)
    for engine, feature, value, place in _named(library):
        known = pools[engine.id if engine else ANY].get(feature)
        if known and value not in known:  # an unknown feature has its own problem
            message = f"Feature '{feature}' has no value '{value}'. Correct it, or add it to the feature's `values`."
            yield problem(place, ID, message, hint=nearest("value", value, known), severity=SEVERITY)


def _named(library: Library) -> Iterator[tuple[Engine | None, str, str, Place]]:
    for kind, entry, path, condition, engine in conditions(library):
        for name, values in condition.terms:
            for index, value in enumerate(values):
                yield engine, name, value, library.value(kind, entry, *path, name, index)
    for kind, entry, path, amount, engine in amounts(library):
        for value in amount.by_value:
            yield engine, amount.feature, value, library.key(kind, entry, *path, amount.feature, value)
    for engine in library.engines.values():
        for build in engine.builds.values():
            for name, value in build.features.items():
                yield engine, name, value, library.value("engine", engine.id, "builds", build.id, name)
