"""An amount by feature that says nothing for a build that needs it.

How many parts such a build takes, or how often it has the fault, is not known.

Wrong:
    builds: {early: {phasers-per-bank: 1}, late: {phasers-per-bank: 2}}
    takes: {phaser-bolt: {phasers-per-bank: {1: 2}}}
Right:
    builds: {early: {phasers-per-bank: 1}, late: {phasers-per-bank: 2}}
    takes: {phaser-bolt: {phasers-per-bank: {1: 2, 2: 4}}}
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from diagtree.model.library import Kind, Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.quantity import ALWAYS, Amount
from diagtree.model.tree import Tree
from diagtree.rules.conditions import values_of
from diagtree.rules.survey import Made, served_builds, served_checks, sound_builds
from diagtree.rules.wording import build_names

ID = "amount-without-value"
SEVERITY: Severity = "error"


class Spot(NamedTuple):
    """Where an amount stands, its line and column not yet worked out."""

    kind: Kind
    entry: str
    path: tuple[str, ...]


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such amount, naming the builds."""
    values = values_of(library, None)
    for spot, amount, made in _amounts(library):
        if not set(amount.by_value).issubset(values.get(amount.feature, ())):
            continue  # a feature or value that is not known has its own problem: what is missing may be meant by it
        left = {(engine.id, build.id): (engine, build) for engine, build in made if amount.of(build.features) is None}
        if left:
            message = f"This says nothing for {build_names(tuple(left.values()))}. Add its value of '{amount.feature}'."
            yield problem(library.value(spot.kind, spot.entry, *spot.path), ID, message, severity=SEVERITY)


def _amounts(library: Library) -> Iterator[tuple[Spot, Amount, Iterable[Made]]]:
    yield from _in_work(library)
    yield from _in_checks(library)
    for tree in library.trees.values():
        yield from _in_weights(library, tree)


def _in_work(library: Library) -> Iterator[tuple[Spot, Amount, Iterable[Made]]]:
    for engine in library.engines.values():
        for step in engine.work.values():
            for take in step.takes:
                if take.quantity.feature:
                    spot = Spot("engine", engine.id, ("work", step.id, "takes", take.part))
                    made = [(engine, build) for build in sound_builds(engine) if step.when.admits(build.features)]
                    yield spot, take.quantity, made


def _in_checks(library: Library) -> Iterator[tuple[Spot, Amount, Iterable[Made]]]:
    found: dict[tuple[str, str], tuple[Amount, list[Made]]] = {}
    for one, engine, applying in served_checks(library):
        for take in one.takes:
            if take.quantity.feature:
                _, made = found.setdefault((one.id, take.part), (take.quantity, []))
                made.extend((engine, build) for build in applying)
    for (name, part), (amount, made) in found.items():
        yield Spot("checks", name, ("takes", part)), amount, made


def _in_weights(library: Library, tree: Tree) -> Iterator[tuple[Spot, Amount, Iterable[Made]]]:
    for name, amount in tree.weights.items():
        if amount.feature:
            fault = library.faults.get(name)
            when = fault.when if fault else ALWAYS
            made = [made for made in served_builds(library, tree) if when.admits(made[1].features)]
            yield Spot("tree", tree.id, ("weights", name)), amount, made
