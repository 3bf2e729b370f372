"""Which parts a build needs a number for."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from diagtree.model.engine import Build, Engine, Part, PartNumber
from diagtree.model.library import Library
from diagtree.rules.survey import served_checks, sound_builds, understood


class Fitting(NamedTuple):
    """A part that a build takes, and the places in its list of the numbers that admit the build."""

    engine: Engine
    build: Build
    part: Part
    fits: tuple[int, ...]

    @property
    def numbers(self) -> tuple[PartNumber, ...]:
        """The numbers that admit the build."""
        return tuple(self.part.numbers[index] for index in self.fits)


def fittings(library: Library) -> Iterator[Fitting]:
    """Each part that the work of a build takes, or a check that applies to it in a tree that serves its engine.

    Parts with a condition that is not understood are left out: that is reported already.
    """
    checked = _checked(library)
    for engine in library.engines.values():
        known = {feature.id: feature.values for feature in engine.features.values()}
        sound = {part.id for part in engine.parts.values() if all(understood(one.when, known) for one in part.numbers)}
        for build in sound_builds(engine):
            for name in (*_worked(engine, build), *checked.get((engine.id, build.id), ())):
                if name in sound:
                    part = engine.parts[name]
                    yield Fitting(engine, build, part, _fits(part, build))


def taken(library: Library, engine: Engine) -> Iterator[str]:
    """The parts that a step of an engine takes, in whatever build, or any check of the library."""
    yield from (take.part for step in engine.work.values() for take in step.takes)
    yield from (take.part for check in library.checks.values() for take in check.takes)


def _fits(part: Part, build: Build) -> tuple[int, ...]:
    return tuple(index for index, one in enumerate(part.numbers) if one.when.admits(build.features))


def _worked(engine: Engine, build: Build) -> dict[str, None]:
    admitted = (step for step in engine.work.values() if step.when.admits(build.features))
    return {take.part: None for step in admitted for take in step.takes}


def _checked(library: Library) -> Mapping[tuple[str, str], dict[str, None]]:
    found: dict[tuple[str, str], dict[str, None]] = {}
    for check, engine, applying in served_checks(library):
        for build in applying:
            found.setdefault((engine.id, build.id), {}).update({take.part: None for take in check.takes})
    return found
