"""Which entries of a library are written differently in anything but wording.

It is the net under the figures: an edit that moves no outcome, scope or chance can still change what a walk costs,
what it warns of, or what is tightened.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias, TypeVar

from diagtree.estimate.figures import row_moves, weight_moves
from diagtree.estimate.meanings import unit_of
from diagtree.estimate.moves import Pair
from diagtree.estimate.passage import Shapes, ground
from diagtree.model.check import Check
from diagtree.model.engine import Engine, Part, Step
from diagtree.model.fault import Caution, Fault
from diagtree.model.library import Kind, Library, Shop
from diagtree.model.quantity import Take
from diagtree.model.tree import Tree

_ANY = 1e-9  # probabilities nearer than this differ by rounding

Entry = TypeVar("Entry")
Values: TypeAlias = dict[str, object]


@dataclass(frozen=True, slots=True)
class Edit:
    """An entry in both libraries, and the keys in it that differ in effect, as paths such as `work/drain/hours`."""

    kind: Kind
    id: str
    keys: tuple[str, ...]


def edits(pair: Pair) -> tuple[Edit, ...]:
    """The entries that differ, by kind, in the order of the old library."""
    old, new = pair
    found = [
        Edit("shop", old.rates.id, _differing(_shop(old.rates), _shop(new.rates))),
        *_each("cautions", _read(old.cautions, _caution), _read(new.cautions, _caution)),
        *_each("checks", _read(old.checks, _check), _read(new.checks, _check)),
        *_each("faults", _read(old.faults, _fault), _read(new.faults, _fault)),
        *_each("engine", _read(old.engines, _engine), _read(new.engines, _engine)),
        *_each("tree", *_trees(pair)),
    ]
    figures: dict[tuple[Kind, str], str] = {("checks", move.check): "given" for move in row_moves(pair, _ANY)}
    figures |= {("tree", move.tree): "weights" for move in weight_moves(pair, _ANY)}
    named = {(edit.kind, edit.id): edit for edit in found if edit.keys}
    for (kind, name), key in figures.items():
        keys = named[kind, name].keys if (kind, name) in named else ()
        named[kind, name] = Edit(kind, name, (*keys, key))
    return tuple(named.values())


def _read(entries: Mapping[str, Entry], values: Callable[[Entry], Values]) -> dict[str, Values]:
    return {name: values(entry) for name, entry in entries.items()}


def _each(kind: Kind, old: Mapping[str, Values], new: Mapping[str, Values]) -> Iterator[Edit]:
    return (Edit(kind, name, _differing(old[name], new[name])) for name in old if name in new)


def _differing(old: Values, new: Values) -> tuple[str, ...]:
    absent = object()
    return tuple(key for key in dict.fromkeys((*old, *new)) if old.get(key, absent) != new.get(key, absent))


def _takes(takes: Iterable[Take]) -> object:
    return {take.part: take.quantity for take in takes}


def _shop(shop: Shop) -> Values:
    return {
        "currency": shop.currency,
        "labour-rate": shop.labour_rate,
        "tax": shop.tax,
        "extras": tuple((one.per_cent, one.of, one.limit) for one in shop.extras),
        "round-to": shop.round_to,
        "units": shop.units,
        "goodwill": shop.goodwill,
    }


def _caution(caution: Caution) -> Values:
    return {"level": caution.level, "when": caution.when}


def _check(check: Check) -> Values:
    answers: object = frozenset((answer.id, answer.band) for answer in check.answers)
    if check.kind == "codes":  # the first that matches is the answer
        answers = tuple((answer.id, answer.groups) for answer in check.answers)
    return {
        "kind": check.kind,
        "hours": check.hours,
        "behind": frozenset(check.behind),
        "takes": _takes(check.takes),
        "cautions": frozenset(check.cautions),
        "when": check.when,
        "answers": answers,
        "reading": (unit_of(check), check.gauge.uncertainty) if check.gauge else None,
        "offsets": check.offset_uncertainty,
        "repeats": check.independent,
        "plausible": check.plausible,
        "never-after": {name: frozenset(answers) for name, answers in check.never_after.items()},
        "wait": check.wait,
        "needs": check.needs,
        "leaves": check.leaves,
    }


def _fault(fault: Fault) -> Values:
    return {
        "repair": frozenset(fault.repair),
        "when": fault.when,
        "cautions": frozenset(fault.cautions),
        "if-missed": fault.if_missed,
    }


def _engine(engine: Engine) -> Values:
    values: Values = {"limits": engine.limits, "timing": engine.timing}
    for build in engine.builds.values():
        values[f"builds/{build.id}"] = (build.features, build.share)
    for step in engine.work.values():
        values |= {f"work/{step.id}/{key}": value for key, value in _step(step).items()}
    for part in engine.parts.values():
        values |= {f"parts/{part.id}/{key}": value for key, value in _part(part).items()}
    for kit in engine.kits:
        values[f"kits/{kit.number}"] = (kit.price, kit.holds, kit.when)
    return values


def _step(step: Step) -> Values:
    return {
        "hours": step.hours,
        "after": frozenset(step.after),
        "follows": frozenset(step.follows),
        "brings": frozenset(step.brings),
        "takes": _takes(step.takes),
        "when": step.when,
        "offer": bool(step.offer),
        "cautions": frozenset(step.cautions),
        "torque": tuple(bolts.steps for bolts in step.torque),
    }


def _part(part: Part) -> Values:
    return {
        "numbers": frozenset(part.numbers),
        "single-use": bool(part.single_use),
        "unit": part.unit,
        "deposit": part.deposit,
    }


def _trees(pair: Pair) -> tuple[dict[str, Values], dict[str, Values]]:
    shapes = Shapes()
    old, new = ({tree.id: _tree(library, tree, shapes) for tree in library.trees.values()} for library in pair)
    return old, new


def _tree(library: Library, tree: Tree, shapes: Shapes) -> Values:
    on = ground(library, tree)
    return {
        "nodes": shapes.of(on, through=False)[on.start],
        "engines": None if tree.engines is None else frozenset(tree.engines),
        "cautions": frozenset(tree.cautions),
    }
