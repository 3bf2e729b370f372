"""What an edit does to the figures of belief: how often each cause is met, and what the checks show."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from diagtree.estimate.moves import Pair, shared_engines
from diagtree.graph.serving import builds, serves
from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.case import case
from diagtree.reason.standing import start
from diagtree.reason.tables import rows, tables
from diagtree.reason.walking import walk_cost

FELT = 0.005  # a probability that moves by less is the same to a reader


@dataclass(frozen=True, slots=True)
class WeightMove:
    """P(cause) in a tree before any answer; 0 where the tree has it not. The cause is a fault, a tree or `other`."""

    tree: str
    engine: str
    cause: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class RowMove:
    """P(answer | cause) of a check, alike for these causes; 0 where the check has no such answer."""

    check: str
    causes: tuple[str, ...]
    before: tuple[tuple[str, float], ...]  # (answer, probability)
    after: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class WalkMove:
    """What walking a tree as it is written costs on average, come-backs among it, in the shop's currency."""

    tree: str
    engine: str
    build: str
    before: float
    after: float


def walk_moves(pair: Pair, felt: float = FELT) -> Iterator[WalkMove]:
    """Each tree, engine and build of both libraries whose walk cost moves by more than `felt` of the currency."""
    for name, tree in pair.old.trees.items():
        if name not in pair.new.trees:
            continue
        for old, new in shared_engines(pair):
            if not (serves(pair.old, tree, old) and serves(pair.new, pair.new.trees[name], new)):
                continue
            made = {build.id: build for build in builds(new)}
            for build in builds(old):
                if build.id in made:
                    before = walk_cost(start(case(pair.old, tree, old, build)))
                    after = walk_cost(start(case(pair.new, pair.new.trees[name], new, made[build.id])))
                    if abs(before - after) > felt:
                        yield WalkMove(name, old.id, build.id, before, after)


def weight_moves(pair: Pair, felt: float = FELT) -> Iterator[WeightMove]:
    """Each cause of a tree whose probability moves by more than `felt`, over an engine's builds by their share."""
    for name, tree in pair.old.trees.items():
        if name not in pair.new.trees:
            continue
        for old, new in shared_engines(pair):
            after_tree = pair.new.trees[name]
            if not (serves(pair.old, tree, old) and serves(pair.new, after_tree, new)):
                continue
            before, after = chances(pair.old, tree, old), chances(pair.new, after_tree, new)
            for cause in dict.fromkeys((*before, *after)):
                first, second = before.get(cause, 0.0), after.get(cause, 0.0)
                if abs(first - second) > felt:
                    yield WeightMove(name, old.id, cause, first, second)


def chances(library: Library, tree: Tree, engine: Engine) -> dict[str, float]:
    """P(cause) of a tree before any answer, over all builds of an engine. All 0 where every weight is."""
    known = tables(library, tree, builds(engine), ())
    top = known.log_prior.max() if known.log_prior.size else -np.inf
    if not np.isfinite(top):
        return dict.fromkeys(known.causes, 0.0)
    scaled = np.exp(known.log_prior - top).sum(axis=1)  # from the top, so that no weight is too large or too small
    return dict(zip(known.causes, (scaled / scaled.sum()).tolist(), strict=True))


def row_moves(pair: Pair, felt: float = FELT) -> Iterator[RowMove]:
    """Each row of a check, for the causes of the trees that ask it, in which an answer moves by more than `felt`."""
    for name in pair.old.checks:
        if name not in pair.new.checks:
            continue
        known = [_causes(library, name) for library in pair]
        causes = [cause for cause in known[0] if cause in known[1]]
        before, after = (_rows(library, name, causes) for library in pair)
        alike: dict[RowMove, list[str]] = {}
        for cause in causes:
            if _moved(before[cause], after[cause], felt):
                move = RowMove(name, (), tuple(before[cause].items()), tuple(after[cause].items()))
                alike.setdefault(move, []).append(cause)
        for move, meant in alike.items():
            yield RowMove(name, tuple(meant), move.before, move.after)


def _causes(library: Library, check: str) -> tuple[str, ...]:
    asking = [tree for tree in library.trees.values() if check in tree.checks]
    return tuple(dict.fromkeys(cause for tree in asking for cause in tree.weights))


def _rows(library: Library, name: str, causes: list[str]) -> dict[str, dict[str, float]]:
    check = library.checks[name]
    if not causes:
        return {}
    found = rows(library, check, causes)
    return {
        cause: {answer.id: float(found[place, at]) for place, answer in enumerate(check.answers)}
        for at, cause in enumerate(causes)
    }


def _moved(before: Mapping[str, float], after: Mapping[str, float], felt: float) -> bool:
    return any(abs(before.get(answer, 0.0) - after.get(answer, 0.0)) > felt for answer in (*before, *after))
