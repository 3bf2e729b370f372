"""A caution that is named and that no file has.

Whoever does the work would not be warned.

Wrong:
    cautions: [hot-engin]
Right:
    cautions: [hot-engine]
"""

from collections.abc import Iterator

from diagtree.model.library import Kind, Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import exists
from diagtree.rules.wording import nearest

ID = "unknown-caution"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such name, in checks, faults, work steps, outcomes and trees."""
    for names, kind, entry, path in _named(library):
        for index, name in enumerate(names):
            if not exists(library, "cautions", name):
                message = f"No caution is called '{name}'. Correct the name, or write the caution."
                place = library.value(kind, entry, *path, "cautions", index)
                yield problem(place, ID, message, hint=nearest("caution", name, library.cautions), severity=SEVERITY)


def _named(library: Library) -> Iterator[tuple[tuple[str, ...], Kind, str, tuple[str, ...]]]:
    """Each list of cautions, and the entry and path whose `cautions` it is."""
    for one in library.checks.values():
        yield one.cautions, "checks", one.id, ()
    for fault in library.faults.values():
        yield fault.cautions, "faults", fault.id, ()
    for engine in library.engines.values():
        for step in engine.work.values():
            yield step.cautions, "engine", engine.id, ("work", step.id)
    for tree in library.trees.values():
        yield tree.cautions, "tree", tree.id, ()
        for node in tree.outcomes:
            yield node.cautions, "tree", tree.id, ("nodes", node.id)
