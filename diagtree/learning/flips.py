"""Where the advice would turn out otherwise with the learned numbers."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagtree.graph.serving import builds, served
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Question, Tree
from diagtree.reason.case import case
from diagtree.reason.looking import looks_from
from diagtree.reason.standing import Standing, answered, start

# Standings below this share of all visits are not followed.
_RARE = 0.01


@dataclass(frozen=True, slots=True)
class Flip:
    """A question of a tree at which the advice changes. It looks one check ahead; None: stop and repair."""

    tree: str
    engine: str
    build: str
    node: str
    answers: tuple[tuple[str, str], ...]  # on the likeliest way there
    share: float  # of the visits that come by on that way, by the author's numbers
    before: str | None
    after: str | None


def flips(before: Library, after: Library, tree: str) -> Iterator[Flip]:
    """The questions of a tree at which the advice changes, in every engine and build, in the order of the walk.

    Args:
        before: the author's numbers.
        after: the same library with the learned ones.
        tree: its id, in both.
    """
    one = before.trees[tree]
    for engine in served(before, one):
        for build in builds(engine):
            yield from _in_build(before, after, one, engine, build)


def _in_build(before: Library, after: Library, tree: Tree, engine: Engine, build: Build) -> Iterator[Flip]:
    old = start(case(before, tree, engine, build))
    new = start(case(after, after.trees[tree.id], engine, build))
    if not (old.mass > 0 and new.mass > 0):
        return
    ways: dict[str, tuple[Standing, Standing]] = {}
    waiting = [(tree.start, old, new)]
    while waiting:
        name, was, now = waiting.pop()
        node = tree.nodes[name]
        if not isinstance(node, Question) or was.mass < _RARE or not now.mass > 0:
            continue
        if name not in ways or was.mass > ways[name][0].mass:
            ways[name] = (was, now)
        waiting += _following(node, was, now)
    for name, node in tree.nodes.items():
        if name in ways and isinstance(node, Question):
            was, now = ways[name]
            first, second = _advice(was), _advice(now)
            if first != second:
                told = tuple((check, finding.answer) for check, finding in was.findings.items())
                yield Flip(tree.id, engine.id, build.id, name, told, was.mass / old.mass, first, second)


def _following(node: Question, was: Standing, now: Standing) -> Iterator[tuple[str, Standing, Standing]]:
    check, other = was.case.checks[node.check], now.case.checks[node.check]
    known = was.findings.get(node.check)
    if known is not None:
        yield node.then[known.answer], was, now
    elif not check.applies or was.forbidden(check):
        if node.otherwise:
            yield node.otherwise, was, now
    else:
        for place, answer in enumerate(check.answers):
            yield node.then[answer], answered(was, check, place), answered(now, other, place)


def _advice(here: Standing) -> str | None:
    found = max(looks_from(here), key=lambda look: look.net, default=None)
    return found.check if found and found.net > 0.0 else None
