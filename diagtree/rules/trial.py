"""What a document would add to a library's problems if it stood in it."""

from dataclasses import replace

from diagtree.model.library import Library
from diagtree.model.problem import Problem
from diagtree.rules.registry import problems, vetting
from diagtree.source.reader import Read


def added(library: Library, document: Read) -> tuple[Problem, ...]:
    """The problems of a document of trees, read on its own, and those that it makes in a library; sorted."""
    rules = vetting()
    before = problems(library, rules)
    after = problems(_joined(library, document.library), rules)
    return tuple(sorted({*document.problems, *after} - set(before)))


def _joined(library: Library, other: Library) -> Library:
    return replace(
        library,
        trees={**library.trees, **other.trees},
        origins={**library.origins, **other.origins},
    )
