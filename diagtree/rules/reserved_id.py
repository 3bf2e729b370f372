"""A fault, a kind or a tree called `other` or `default`.

`other` stands for a cause that is not in the tree, `default` for the row of every fault that has none of its own.
Neither could be told from an entry of that name.

Wrong:
    faults:
      other: {title: Something else, why: Unknown., repair: [], verify: []}
Right:
    tree: rattle
    other: 5
"""

from collections.abc import Iterator

from diagtree.model.fault import DEFAULT, OTHER
from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem

ID = "reserved-id"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such id."""
    for name, place in _reserved(library):
        message = f"The id '{name}' has a meaning of its own in weights and tables. Choose another."
        yield problem(place, ID, message, severity=SEVERITY)


def _reserved(library: Library) -> Iterator[tuple[str, Place]]:
    for name in (OTHER, DEFAULT):
        if name in library.faults:
            yield name, library.key("faults", name)
        if name in library.trees:
            yield name, library.value("tree", name, "tree")
    for fault in library.faults.values():
        if fault.kind_of in {OTHER, DEFAULT}:
            yield fault.kind_of, library.value("faults", fault.id, "kind-of")
