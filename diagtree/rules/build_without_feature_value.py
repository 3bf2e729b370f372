"""A build that has no value for a feature of its engine, or two builds that no feature tells apart.

No condition on that feature ever fits such a build, and no look at the car tells it from others. Two builds with the
same features are one build to every table and every bill.

Wrong:
    builds:
      early: {share: 3, chain: roller, water-pump: external}
      late: {share: 2, chain: inverted-tooth}
      coach: {share: 1, chain: roller, water-pump: external}
Right:
    builds:
      early: {share: 4, chain: roller, water-pump: external}
      late: {share: 2, chain: inverted-tooth, water-pump: internal}
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import sound_builds, stands
from diagtree.rules.wording import listed

ID = "build-without-feature-value"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such build, at its id."""
    for engine in library.engines.values():
        if engine.builds:
            yield from _without_value(library, engine)
            yield from _twins(library, engine)


def _without_value(library: Library, engine: Engine) -> Iterator[Problem]:
    for build in sound_builds(engine):
        path = ("builds", build.id)
        missing = [
            name
            for name in engine.features
            if name not in build.features and not stands(library, "engine", engine.id, *path, name)
        ]
        if missing:
            message = f"This build has no value for {listed(missing)}. Write one, `none` if it has no such thing."
            yield problem(library.key("engine", engine.id, *path), ID, message, severity=SEVERITY)


def _twins(library: Library, engine: Engine) -> Iterator[Problem]:
    seen: dict[tuple[tuple[str, str], ...], str] = {}
    for build in sound_builds(engine):
        first = seen.setdefault(tuple(sorted(build.features.items())), build.id)
        if first != build.id:
            message = f"This build has the same features as '{first}'. Make them one, or say in what they differ."
            yield problem(library.key("engine", engine.id, "builds", build.id), ID, message, severity=SEVERITY)
