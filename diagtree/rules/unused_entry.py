"""Something written that nothing names.

It is read, checked and kept up to date for nothing, or the name of it was forgotten where it belongs. Told of checks
and faults that no tree has, work steps that no repair, check or offer leads to, parts that nothing takes, and cautions
that nothing shows. A library without a tree is not judged, nor an engine without work. What a misspelt name is meant
for counts as named.

Wrong:
    cautions: {hot-engine: Hot oil. Let it cool.}      # and no `cautions: [hot-engine]` anywhere
Right:
    checks:
      oil-level: {ask: Level?, hours: 0.1, cautions: [hot-engine], answers: {low: Low, ok: Right}}
"""

from collections.abc import Iterable, Iterator

from diagtree.graph.labour import closure
from diagtree.model.engine import Engine
from diagtree.model.library import Kind, Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.model.tree import Outcome
from diagtree.rules.survey import whole_labour
from diagtree.rules.takings import taken
from diagtree.rules.wording import meant

ID = "unused-entry"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such entry, at its id."""
    if not library.trees:  # those that are not written yet may name it
        return
    yield from _in_trees(library)
    for engine in library.engines.values():
        yield from _in_engine(library, engine)
    message = "Nothing shows this caution. Name it where it holds, or take it out."
    yield from _entries(library, "cautions", _unnamed(library.cautions, _shown(library)), message)


def _in_trees(library: Library) -> Iterator[Problem]:
    trees = library.trees.values()
    asked = (name for tree in trees for name in tree.checks)
    message = "No tree asks this check. Ask it in one, or take it out."
    yield from _entries(library, "checks", _unnamed(library.checks, asked), message)
    outcomes = (node for tree in trees for node in tree.nodes.values() if isinstance(node, Outcome))
    weighed = (name for tree in trees for name in tree.weights)
    named = (*weighed, *(name for node in outcomes for name in node.faults))
    message = "No tree has this fault. Give it a weight and an outcome in one, or take it out."
    yield from _entries(library, "faults", _unnamed(library.faults, named), message)


def _in_engine(library: Library, engine: Engine) -> Iterator[Problem]:
    wanted = [step for fault in library.faults.values() for step in fault.repair]
    wanted += [step for check in library.checks.values() for step in check.behind]
    wanted += [step.id for step in engine.work.values() if step.offer]
    pulled = [name for step in engine.work.values() for name in (*step.after, *step.brings)]
    slips = meant(sorted({*wanted, *pulled} - engine.work.keys()), engine.work)
    reached = closure(whole_labour(engine), (*wanted, *slips))
    for name in engine.work:
        if name not in reached:
            message = "No repair, check or offer leads to this step. Name it in one, or take it out."
            yield _problem(library.key("engine", engine.id, "work", name), message)
    if not engine.work:
        return
    for name in _unnamed(engine.parts, taken(library, engine)):
        if engine.parts[name].numbers:  # one without has its own warning
            message = "No step and no check takes this part. Name it in `takes`, or take it out."
            yield _problem(library.key("engine", engine.id, "parts", name), message)


def _shown(library: Library) -> Iterator[str]:
    yield from (name for check in library.checks.values() for name in check.cautions)
    yield from (name for fault in library.faults.values() for name in fault.cautions)
    for engine in library.engines.values():
        yield from (name for step in engine.work.values() for name in step.cautions)
    for tree in library.trees.values():
        yield from tree.cautions
        yield from (name for node in tree.outcomes for name in node.cautions)


def _unnamed(entries: Iterable[str], named: Iterable[str]) -> list[str]:
    """The entries that no name is, nor may be a slip of."""
    known = dict.fromkeys(entries)
    used = set(named)
    slips = meant(sorted(used - known.keys()), known)
    return [name for name in known if name not in used and name not in slips]


def _entries(library: Library, kind: Kind, names: Iterable[str], message: str) -> Iterator[Problem]:
    return (_problem(library.key(kind, name), message) for name in names)


def _problem(place: Place, message: str) -> Problem:
    return problem(place, ID, message, severity=SEVERITY)
