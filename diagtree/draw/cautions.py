"""The cautions of a drawing: which stand on it, in which order, under which number."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagtree.graph.labour import Labour, closure, labour
from diagtree.graph.serving import builds
from diagtree.model.engine import Engine
from diagtree.model.fault import LEVELS, Caution, Level
from diagtree.model.library import Library
from diagtree.model.tree import Node, Onward, Outcome, Question, Tree

_Cautious = tuple[Labour, Sequence[tuple[str, tuple[str, ...]]]]  # a build's work; its steps that have cautions

NAMES: Mapping[Level, str] = {"stop": "Stop", "warn": "Warning", "note": "Note"}


@dataclass(frozen=True, slots=True)
class Numbered:
    """A caution with its number in the library, and for which builds it holds (empty: all that are served)."""

    number: int
    caution: Caution
    only: str = ""

    @property
    def name(self) -> str:
        """What a box calls it, such as `Stop 1`."""
        return f"{NAMES[self.caution.level]} {self.number}"


def number_cautions(library: Library, tree: Tree, engines: tuple[Engine, ...]) -> Mapping[str, Numbered]:
    """Every caution of a tree, its questions and its outcomes that some served build needs, `stop` first."""
    works = tuple(labour(engine, build) for engine in engines for build in builds(engine))
    return numbered(library, tree, engines, named(library, tree, works))


def numbered(
    library: Library, tree: Tree, engines: tuple[Engine, ...], by_node: Mapping[str, Iterable[str]]
) -> Mapping[str, Numbered]:
    """The same, where the cautions that are `named` at each node are known.

    A number is the library's, not the drawing's: side by side on a wall, `Stop 1` is the same on every one.
    """
    ids = dict.fromkeys(tree.cautions)
    for names in by_node.values():
        ids |= dict.fromkeys(names)
    found = [library.cautions[name] for name in ids if name in library.cautions]
    # Where no engine is served nobody can say which builds a caution is for: it stands.
    admitted = [caution for caution in found if not engines or _admitting(caution, engines) > 0]
    numbers = {caution.id: number for number, caution in enumerate(_ordered(library.cautions.values()), start=1)}
    return {
        caution.id: Numbered(numbers[caution.id], caution, _only(caution, engines))
        for caution in sorted(admitted, key=lambda caution: numbers[caution.id])
    }


def _ordered(cautions: Iterable[Caution]) -> list[Caution]:
    return sorted(cautions, key=lambda caution: LEVELS.index(caution.level))


def named(library: Library, tree: Tree, works: Iterable[Labour]) -> Mapping[str, tuple[str, ...]]:
    """The cautions of what is done at each node: a question's check and the work it stands behind, an outcome's faults.

    The cautions of the repair itself stand on its job sheet. `works` are of the builds that are served.
    """
    cautious = [(work, [(name, step.cautions) for name, step in work.steps.items() if step.cautions]) for work in works]
    return {name: tuple(dict.fromkeys(_named_by(library, node, cautious))) for name, node in tree.nodes.items()}


def _named_by(library: Library, node: Node, works: Sequence[_Cautious]) -> Iterator[str]:
    match node:
        case Question():
            check = library.checks.get(node.check)
            if check is not None:
                yield from check.cautions
                yield from _of_work(works, check.behind)
        case Outcome():
            yield from node.cautions
            for name in node.faults:
                yield from library.faults[name].cautions if name in library.faults else ()
        case Onward():
            return


def marks_of(names: Iterable[str], marks: Mapping[str, Numbered]) -> str:
    """Cautions by level and number, such as `Stop 1, 3-5 . Warning 9`."""
    found = [marks[name] for name in dict.fromkeys(names) if name in marks]
    by_level = {level: sorted(one.number for one in found if one.caution.level == level) for level in LEVELS}
    return " \N{MIDDLE DOT} ".join(f"{NAMES[level]} {_runs(each)}" for level, each in by_level.items() if each)


def _runs(numbers: list[int]) -> str:
    """Numbers in ascending order, three and more in a row as a span."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    short = [f"{run[0]}\N{EN DASH}{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs]
    return ", ".join(short)


def _of_work(works: Sequence[_Cautious], steps: tuple[str, ...]) -> Iterator[str]:
    if not steps:
        return
    for work, cautious in works:
        done = closure(work, steps)
        for name, cautions in cautious:
            if name in done:
                yield from cautions


def _admitting(caution: Caution, engines: tuple[Engine, ...]) -> int:
    return sum(caution.when.admits(build.features) for engine in engines for build in builds(engine))


def _only(caution: Caution, engines: tuple[Engine, ...]) -> str:
    """The condition in words, where some served build does not need the caution."""
    everywhere = _admitting(caution, engines) == sum(len(builds(engine)) for engine in engines)
    if not caution.when.terms or (engines and everywhere):
        return ""
    terms = (f"{name} {' or '.join(values)}" for name, values in caution.when.terms)
    return "Only with " + ", ".join(terms) + "."
