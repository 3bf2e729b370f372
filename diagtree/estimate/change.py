"""What an edit of a library does in effect: outcomes, scopes, chances; not how it is written."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagtree.estimate.edits import Edit, edits
from diagtree.estimate.figures import RowMove, WalkMove, WeightMove, row_moves, walk_moves, weight_moves
from diagtree.estimate.moves import Cut, Finding, Moved, Pair, Reached, Refused, moves, shared_engines
from diagtree.estimate.passage import MOST_STATES
from diagtree.estimate.scopes import ScopeMove, scope_moves
from diagtree.graph.serving import builds, serves
from diagtree.model.library import Library


@dataclass(frozen=True, slots=True)
class Entries:
    """What stands in one library and not in the other, by id.

    Attributes:
        builds: (engine, build), of the engines that both have.
        answers: (check, answer), of the checks that both have.
        serves: (tree, engine), of the trees and engines that both have: the tree can be walked for the engine.
    """

    trees: tuple[str, ...]
    checks: tuple[str, ...]
    faults: tuple[str, ...]
    engines: tuple[str, ...]
    builds: tuple[tuple[str, str], ...]
    answers: tuple[tuple[str, str], ...]
    serves: tuple[tuple[str, str], ...]

    def __bool__(self) -> bool:
        """Whether anything stands in it."""
        listed = (self.trees, self.checks, self.faults, self.engines, self.builds, self.answers, self.serves)
        return any(listed)


@dataclass(frozen=True, slots=True)
class Change:
    """What an edit does in effect.

    Attributes:
        old, new: the libraries.
        moved: answers that end in another outcome.
        refused: cannot tell, taken by one library only.
        reached: outcomes that only one library can come to.
        cut: searches that were cut: what they missed may have moved.
        scopes, weights, rows, walks: figures that differ.
        added, removed: what only the new, only the old library has.
        edits: entries that are written differently in anything but wording, whatever comes of it.
    """

    old: Library
    new: Library
    moved: tuple[Moved, ...]
    refused: tuple[Refused, ...]
    reached: tuple[Reached, ...]
    cut: tuple[Cut, ...]
    scopes: tuple[ScopeMove, ...]
    weights: tuple[WeightMove, ...]
    rows: tuple[RowMove, ...]
    added: Entries
    removed: Entries
    edits: tuple[Edit, ...]
    walks: tuple[WalkMove, ...] = ()

    @property
    def searched(self) -> bool:
        """Whether every search ran to its end."""
        return not self.cut

    @property
    def felt(self) -> bool:
        """Whether anything was found that moves an outcome, a scope or a chance, or comes or goes."""
        moved = (self.moved, self.refused, self.reached, self.scopes, self.weights, self.rows, self.walks)
        return any((*moved, self.added, self.removed))


def change(old: Library, new: Library, most: int = MOST_STATES) -> Change:
    """Compare two libraries, both without errors. A search of a tree is cut after `most` states, and says so."""
    pair = Pair(old, new)
    found: list[Finding] = list(moves(pair, most))
    return Change(
        old=old,
        new=new,
        moved=tuple(one for one in found if isinstance(one, Moved)),
        refused=tuple(one for one in found if isinstance(one, Refused)),
        reached=tuple(one for one in found if isinstance(one, Reached)),
        cut=tuple(one for one in found if isinstance(one, Cut)),
        scopes=tuple(scope_moves(pair)),
        weights=tuple(weight_moves(pair)),
        rows=tuple(row_moves(pair)),
        added=_beyond(Pair(new, old)),
        removed=_beyond(pair),
        edits=edits(pair),
        walks=tuple(walk_moves(pair)),
    )


def _beyond(pair: Pair) -> Entries:
    """What the first library of the pair has and the second has not."""
    here, there = pair
    return Entries(
        trees=tuple(name for name in here.trees if name not in there.trees),
        checks=tuple(name for name in here.checks if name not in there.checks),
        faults=tuple(name for name in here.faults if name not in there.faults),
        engines=tuple(name for name in here.engines if name not in there.engines),
        builds=tuple(_builds(pair)),
        answers=tuple(_answers(pair)),
        serves=tuple(_serves(pair)),
    )


def _builds(pair: Pair) -> Iterator[tuple[str, str]]:
    for here, there in shared_engines(pair):
        made = {build.id for build in builds(there)}
        yield from ((here.id, build.id) for build in builds(here) if build.id not in made)


def _answers(pair: Pair) -> Iterator[tuple[str, str]]:
    for name, check in pair.old.checks.items():
        other = pair.new.checks.get(name)
        if other:
            yield from ((name, answer.id) for answer in check.answers if not other.answer(answer.id))


def _serves(pair: Pair) -> Iterator[tuple[str, str]]:
    for name, tree in pair.old.trees.items():
        other = pair.new.trees.get(name)
        for here, there in shared_engines(pair) if other else ():
            if other and serves(pair.old, tree, here) and not serves(pair.new, other, there):
                yield name, here.id
