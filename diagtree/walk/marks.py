"""What can still be seen of the engine that would tell its builds apart."""

from dataclasses import dataclass

from diagtree.walk.moves import BUILD
from diagtree.walk.session import Session


@dataclass(frozen=True, slots=True)
class Mark:
    """A value of a feature; of `build` where builds differ in no feature."""

    feature: str
    value: str
    title: str  # of the feature


def marks(session: Session) -> tuple[Mark, ...]:
    """The values that possible builds have of each feature in which they differ; empty where one build is left."""
    builds, engine = session.known.builds, session.case.engine
    if len(builds) < 2:
        return ()
    found: list[Mark] = []
    for name, feature in engine.features.items():
        left = [value for value in feature.values if any(build.features.get(name) == value for build in builds)]
        if len(left) > 1:
            found += [Mark(name, value, feature.title) for value in left]
    return tuple(found) or tuple(Mark(BUILD, build.id, "Build") for build in builds)
