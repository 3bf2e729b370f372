"""What a job stands on in a library, as one short figure: another figure, another library under the same answers."""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.walk.replies import Case

LENGTH = 16  # hexadecimal digits: 64 bits


def digest(case: Case) -> str:
    """The digest of the trees that a walk can come through, their checks and faults, the engine, shop and cautions.

    Comments, the order of keys in a record, and how the files are split do not count: they change no walk.
    """
    library = case.library
    trees = tuple(_through(library, case.tree))
    checks = {name: library.checks.get(name) for tree in trees for name in tree.checks}
    faults = {name: library.faults.get(name) for tree in trees for name in _faults(tree)}
    ground = (trees, checks, faults, case.engine, library.shop, library.cautions, library.codes)
    return hashlib.sha256("".join(_plain(ground)).encode()).hexdigest()[:LENGTH]


def of_library(library: Library) -> str:
    """The digest of a whole library, for what is printed from it: as short, and blind to the same things."""
    ground = (
        *(library.shop, library.cautions, library.codes, library.checks, library.faults),
        *(library.engines, library.trees),
    )
    return hashlib.sha256("".join(_plain(ground)).encode()).hexdigest()[:LENGTH]


def _through(library: Library, tree: Tree) -> Iterator[Tree]:
    waiting, met = [tree.id], {tree.id}
    while waiting:
        name = waiting.pop()
        found = tree if name == tree.id else library.trees.get(name)
        if found:
            yield found
            further = sorted({node.tree for node in found.onwards} - met)
            met.update(further)
            waiting += further


def _faults(tree: Tree) -> Iterator[str]:
    yield from tree.weights
    yield from (fault for node in tree.outcomes for fault in node.faults)


def _plain(value: Any) -> Iterator[str]:
    """A value of the model as text that two values share only where they are equal. Order counts, but in sets."""
    if is_dataclass(value):
        yield f"{type(value).__name__}("
        for field in fields(value):
            yield from _plain(getattr(value, field.name))
        yield ")"
    elif isinstance(value, Mapping):
        yield "{"
        for key, inner in value.items():
            yield f"{key!r}:"
            yield from _plain(inner)
        yield "}"
    elif isinstance(value, (frozenset, set)):
        yield from _plain(sorted(value))
    elif isinstance(value, (tuple, list)):
        yield "["
        for inner in value:
            yield from _plain(inner)
        yield "]"
    else:
        yield f"{value!r},"
