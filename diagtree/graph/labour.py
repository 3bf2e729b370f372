"""The labour of one build: which steps it admits, and what each pulls in.

Plain dictionaries: `next`, `walk` and `scope` ask for thousands of closures and start without networkx.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagtree.model.engine import Build, Engine, Step


@dataclass(frozen=True, slots=True)
class Labour:
    """The work of one engine in one build."""

    engine: Engine
    build: Build
    steps: Mapping[str, Step]  # those that the build admits, in file order
    pulls: Mapping[str, tuple[str, ...]]  # step -> its `after` and `brings` that the build admits


def labour(engine: Engine, build: Build) -> Labour:
    """The steps of `engine` whose `when` admits `build`."""
    steps = {name: step for name, step in engine.work.items() if step.when.admits(build.features)}
    pulls = {
        name: tuple(other for other in dict.fromkeys((*step.after, *step.brings)) if other in steps)
        for name, step in steps.items()
    }
    return Labour(engine, build, steps, pulls)


def closure(work: Labour, wanted: Iterable[str]) -> frozenset[str]:
    """The least set that holds `wanted` and, with each step, its `after` and `brings`.

    A step that the build excludes is dropped, with nothing that it would have pulled in on its own account.
    """
    found: set[str] = set()
    waiting = [step for step in wanted if step in work.steps]
    while waiting:
        step = waiting.pop()
        if step not in found:
            found.add(step)
            waiting.extend(work.pulls[step])
    return frozenset(found)
