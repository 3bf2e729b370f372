"""Every `when` and every amount by feature of a library, with where it stands."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from diagtree.model.engine import Engine
from diagtree.model.library import Kind, Library
from diagtree.model.quantity import Amount, Condition, Take

Path = tuple[str | int, ...]


class Stated(NamedTuple):
    """A condition, its place, and the engine whose features it speaks of (None: any engine's)."""

    kind: Kind
    entry: str
    path: Path
    condition: Condition
    engine: Engine | None


class Varied(NamedTuple):
    """An amount by feature, its place, and the engine whose features it speaks of (None: any engine's)."""

    kind: Kind
    entry: str
    path: Path
    amount: Amount
    engine: Engine | None


def conditions(library: Library) -> Iterator[Stated]:
    """Every `when` that names a feature."""
    for one in _all_conditions(library):
        if one.condition.terms:
            yield one


def _all_conditions(library: Library) -> Iterator[Stated]:
    for check in library.checks.values():
        yield Stated("checks", check.id, ("when",), check.when, None)
    for fault in library.faults.values():
        yield Stated("faults", fault.id, ("when",), fault.when, None)
    for caution in library.cautions.values():
        yield Stated("cautions", caution.id, ("when",), caution.when, None)
    for engine in library.engines.values():
        yield from _engine_conditions(engine)


def _engine_conditions(engine: Engine) -> Iterator[Stated]:
    for step in engine.work.values():
        yield Stated("engine", engine.id, ("work", step.id, "when"), step.when, engine)
    for part in engine.parts.values():
        for index, number in enumerate(part.numbers):
            yield Stated("engine", engine.id, ("parts", part.id, "numbers", index, "when"), number.when, engine)
    for index, kit in enumerate(engine.kits):
        yield Stated("engine", engine.id, ("kits", index, "when"), kit.when, engine)


def amounts(library: Library) -> Iterator[Varied]:
    """Every amount that is written by feature."""
    for check in library.checks.values():
        yield from _taken("checks", check.id, (), check.takes, None)
    for engine in library.engines.values():
        for step in engine.work.values():
            yield from _taken("engine", engine.id, ("work", step.id), step.takes, engine)
    for tree in library.trees.values():
        for name, amount in tree.weights.items():
            if amount.feature:
                yield Varied("tree", tree.id, ("weights", name), amount, None)


def _taken(kind: Kind, entry: str, path: Path, takes: tuple[Take, ...], engine: Engine | None) -> Iterator[Varied]:
    for take in takes:
        if take.quantity.feature:
            yield Varied(kind, entry, (*path, "takes", take.part), take.quantity, engine)


def values_of(library: Library, engine: Engine | None) -> Mapping[str, tuple[str, ...]]:
    """The features that a place may speak of, and their values: one engine's, or every engine's together."""
    found: dict[str, tuple[str, ...]] = {}
    for each in library.engines.values() if engine is None else (engine,):
        for feature in each.features.values():
            found[feature.id] = tuple(dict.fromkeys((*found.get(feature.id, ()), *feature.values)))
    return found


ANY = ""  # no engine has this id


def pools_of(library: Library) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """`values_of` for each engine by its id, and for all together under `ANY`."""
    return {
        ANY: values_of(library, None),
        **{engine.id: values_of(library, engine) for engine in library.engines.values()},
    }
