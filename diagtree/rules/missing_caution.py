"""A step or a fault without a caution that all its kin carry.

Probably it was forgotten there, and somebody gets hurt. Kin are the work steps of an engine with the very same tools,
or behind the very same access; faults of the same `kind-of` (or all without) that share a repair step. Told only where
at least three of them carry the caution and this one alone does not, nor any step that is done with it.

Wrong:
    work:
      renew-chain: {title: Chain, hours: 0.4, after: [cover-off], cautions: [interference]}
      renew-guides: {title: Guides, hours: 0.4, after: [cover-off], cautions: [interference]}
      renew-phasers: {title: Phasers, hours: 0.4, after: [cover-off], cautions: [interference]}
      renew-tensioner: {title: Tensioner, hours: 0.3, after: [cover-off]}
Right:
    work:
      renew-tensioner: {title: Tensioner, hours: 0.3, after: [cover-off], cautions: [interference]}
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from diagtree.graph.labour import closure
from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.rules.survey import stands, whole_labour

ID = "missing-caution"
SEVERITY: Severity = "warning"

_LEAST = 3  # kin that carry it

Cautions = Mapping[str, frozenset[str]]  # id -> its cautions


class _Lone(NamedTuple):
    """An entry that lacks a caution which all its kin carry."""

    entry: str
    caution: str
    common: str  # what they have in common, in words
    many: int


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such step or fault, at its cautions, or at its id where it has none."""
    for engine in library.engines.values():
        yield from _steps(library, engine)
    yield from _faults(library)


def _steps(library: Library, engine: Engine) -> Iterator[Problem]:
    carried = {name: frozenset(step.cautions) for name, step in engine.work.items()}
    kin = _grouped(
        (step.id, common)
        for step in engine.work.values()
        for common in (
            *((("with the same tools", *sorted(step.tools)),) if step.tools else ()),
            *((("behind the same access", *sorted(step.after)),) if step.after else ()),
        )
    )
    work = whole_labour(engine)
    for lone in _lone(kin, carried):
        if not any(lone.caution in carried[step] for step in closure(work, (lone.entry,))):
            path = ("work", lone.entry)
            further = ("cautions",) if stands(library, "engine", engine.id, *path, "cautions") else ()
            yield _problem("steps", lone, library.key("engine", engine.id, *path, *further))


def _faults(library: Library) -> Iterator[Problem]:
    carried = {name: frozenset(fault.cautions) for name, fault in library.faults.items()}
    kin = _grouped(
        (
            fault.id,
            (f"that need '{step}'", fault.kind_of),
        )  # another kind of fault can need the same work in less danger
        for fault in library.faults.values()
        for step in dict.fromkeys(fault.repair)
    )
    for lone in _lone(kin, carried):
        if not _done_with(library, lone):
            further = ("cautions",) if stands(library, "faults", lone.entry, "cautions") else ()
            yield _problem("faults", lone, library.key("faults", lone.entry, *further))


def _done_with(library: Library, lone: _Lone) -> bool:
    """Whether a step of a fault's repair carries the caution in some engine: then the job sheet shows it."""
    return any(
        lone.caution in engine.work[step].cautions
        for engine in library.engines.values()
        for step in closure(whole_labour(engine), library.faults[lone.entry].repair)
    )


def _grouped(named: Iterable[tuple[str, tuple[str, ...]]]) -> dict[tuple[str, ...], list[str]]:
    found: dict[tuple[str, ...], list[str]] = {}
    for entry, common in named:
        found.setdefault(common, []).append(entry)
    return found


def _lone(kin: Mapping[tuple[str, ...], list[str]], carried: Cautions) -> Iterator[_Lone]:
    """Each entry with a caution that it alone lacks among its kin, told of one sort of kin."""
    told: set[tuple[str, str]] = set()
    for common, entries in kin.items():
        if len(entries) <= _LEAST:
            continue
        for caution in sorted(frozenset[str]().union(*(carried[entry] for entry in entries))):
            without = [entry for entry in entries if caution not in carried[entry]]
            if len(without) == 1 and (without[0], caution) not in told:
                told.add((without[0], caution))
                yield _Lone(without[0], caution, common[0], len(entries) - 1)


def _problem(what: str, lone: _Lone, place: Place) -> Problem:
    message = (
        f"The {lone.many} other {what} {lone.common} name the caution '{lone.caution}', and this one does not. "
        "Name it here, if it holds."
    )
    return problem(place, ID, message, severity=SEVERITY)
