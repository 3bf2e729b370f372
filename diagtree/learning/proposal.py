"""What would change in the files: each number that the closed jobs move, where it stands, and how sure it is."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor, log10

import numpy as np

from diagtree.learning.interval import interval
from diagtree.learning.mixture import CellName, Cells, Learned, Row
from diagtree.model.check import Check
from diagtree.model.fault import OTHER
from diagtree.model.library import Library
from diagtree.model.problem import Place
from diagtree.model.tree import Tree
from diagtree.reason.tables import Floats

# Cars below which a row or a weight keeps its author's number.
LEAST = 5
# Moves of a chance that are not worth a change, as a part of 1.
_FELT = 0.005
# A weight's move that is not worth a change, as a part of itself.
_FELT_WEIGHT = 0.02


@dataclass(frozen=True, slots=True)
class Number:
    """One number of the files, before and after, and the chance that it stands for."""

    place: Place
    check: str  # of a row; '' of a weight
    tree: str  # of a weight; '' of a row
    cause: str  # the row's key, or the cause
    answer: str  # of a row; the feature's value that a weight depends on, or ''
    before: float  # as the author wrote it, or what stood for it
    after: float
    chance: float  # the author's, 0..1: of the answer, or the cause's share of the visits
    learned: float
    low: float  # central 95 % of the learned one
    high: float
    cars: float  # it is learned from


@dataclass(frozen=True, slots=True)
class Kept:
    """A number that moved, and that has no number of its own in the files: an answer that its row leaves out."""

    check: str
    cause: str
    answer: str
    learned: float
    cars: float


@dataclass(frozen=True, slots=True)
class Ground:
    """How many closed jobs the figures of a tree rest on: what walks and estimates tell beside their chances."""

    tree: str
    before: int  # as the file has it: its author's numbers are none any more where that is above 0
    after: int
    place: Place | None  # None: the tree has no `closed-jobs`


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the jobs would change."""

    numbers: tuple[Number, ...]  # rows first, in the order of the files
    seldom: int  # rows and weights with too few cars, that keep the author's number
    unwritten: tuple[Kept, ...]
    grounds: tuple[Ground, ...] = ()  # trees with jobs enough


def propose(library: Library, learned: Learned, least: float = LEAST) -> Proposal:
    """The numbers that change. A row changes as a whole, a tree's weights each for itself.

    Args:
        library: as it was learned from, with the places of its numbers.
        learned: what the jobs say.
        least: cars from which a number is changed at all.
    """
    numbers: list[Number] = []
    unwritten: list[Kept] = []
    seldom = 0
    for (name, key), row in learned.rows.items():
        if row.cars < least:
            seldom += bool(row.cars)
        elif float(np.abs(row.learned - row.author).max()) >= _FELT:
            numbers += _row(library, library.checks[name], key, row, learned.strength)
            unwritten += _unwritten(library, library.checks[name], key, row)
    for tree, cells in learned.weights.items():
        seldom += int(((cells.counts > 0) & (cells.counts < least)).sum())
        numbers += _weights(library, library.trees[tree], cells, learned.strength, least)
    grounds = [_ground(library, tree, cells) for tree, cells in learned.weights.items() if cells.cars >= least]
    return Proposal(tuple(numbers), seldom, tuple(unwritten), tuple(grounds))


def _ground(library: Library, tree: str, cells: Cells) -> Ground:
    place = library.value("tree", tree, "closed-jobs")
    own = place != library.value("tree", tree)
    return Ground(tree, library.trees[tree].closed_jobs, round(cells.cars), place if own else None)


def _row(library: Library, check: Check, key: str, row: Row, strength: float) -> Iterator[Number]:
    after = _written(check, row.learned, sum(check.given[key]))
    for at, answer in enumerate(check.answers):
        place = _row_place(library, check, key, at)
        if place is not None:
            low, high = _sure(float(row.learned[at]), row.cars + strength)
            yield Number(
                place=place,
                check=check.id,
                tree="",
                cause=key,
                answer=answer.id,
                before=check.given[key][at],
                after=float(after[at]),
                chance=float(row.author[at]),
                learned=float(row.learned[at]),
                low=low,
                high=high,
                cars=row.cars,
            )


def _unwritten(library: Library, check: Check, key: str, row: Row) -> Iterator[Kept]:
    if _single(library, check, key):
        return
    for at, answer in enumerate(check.answers):
        if _row_place(library, check, key, at) is None and row.learned[at] - row.author[at] >= _FELT:
            yield Kept(check.id, key, answer.id, float(row.learned[at]), row.cars)


def _row_place(library: Library, check: Check, key: str, at: int) -> Place | None:
    """Where the number of an answer stands; None where it has none of its own."""
    whole = library.value("checks", check.id, "given", key)
    if _single(library, check, key):
        return whole if at == 0 else None
    place = library.value("checks", check.id, "given", key, check.answers[at].id)
    return None if place == whole else place


def _single(library: Library, check: Check, key: str) -> bool:
    """Whether a row is written as one number, per cent of the first of two answers."""
    whole = library.value("checks", check.id, "given", key)
    return all(library.value("checks", check.id, "given", key, answer.id) == whole for answer in check.answers)


def _written(check: Check, learned: Floats, total: float) -> Floats:
    """(answers,): a row as its author would write it, in his scale; to a tenth of his per cent.

    What is seen has slips in it; what is written has not: P(answer) = (1 - slip) * row + slip / answers.
    """
    bare = np.maximum(0.0, (learned - check.slip / len(learned)) / (1 - check.slip)) if check.slip < 1 else learned
    return np.asarray(np.round(bare / bare.sum() * total, _places(total)), dtype=float)


def _places(total: float) -> int:
    """Decimals that show a thousandth of a total."""
    return max(0, 3 - floor(log10(total)))


def _weights(library: Library, tree: Tree, cells: Cells, strength: float, least: float) -> Iterator[Number]:
    often = cells.counts >= least
    after = _weights_written(cells, often)
    of = cells.cars + strength
    for at, name in enumerate(cells.names):
        author = _author_weight(tree, name)
        if not often[at] or abs(after[at] - author) < _FELT_WEIGHT * max(author, after[at]):
            continue
        low, high = _sure(float(cells.learned[at]), of)
        yield Number(
            place=_weight_place(library, tree, name),
            check="",
            tree=tree.id,
            cause=name[0],
            answer=name[1],
            before=author,
            after=float(after[at]),
            chance=float(cells.author[at]),
            learned=float(cells.learned[at]),
            low=low,
            high=high,
            cars=float(cells.counts[at]),
        )


def _weights_written(cells: Cells, often: "np.ndarray[tuple[int], np.dtype[np.bool_]]") -> Floats:
    """(cells,): weights in the author's scale, to three figures; those of seldom causes are the author's own.

    The learned ones are scaled so that they stand to those that are kept as they were learned to.
    """
    kept = cells.rates[~often].sum()
    author = cells.author_weights[~often].sum()
    scale = author / kept if kept > 0 and author > 0 else 1.0
    return np.array([float(f"{rate * scale:.3g}") for rate in cells.rates])


def _author_weight(tree: Tree, name: CellName) -> float:
    cause, value = name
    if cause == OTHER and cause not in tree.weights:
        return tree.other or 0.0
    amount = tree.weights[cause]
    return (amount.by_value.get(value, 0.0) if amount.feature else amount.fixed) or 0.0


def _weight_place(library: Library, tree: Tree, name: CellName) -> Place:
    cause, value = name
    if cause == OTHER and cause not in tree.weights:
        return library.value("tree", tree.id, "other")
    feature = tree.weights[cause].feature
    path = (cause, feature, value) if feature else (cause,)
    return library.value("tree", tree.id, "weights", *path)


def _sure(share: float, cars: float) -> tuple[float, float]:
    if not 0.0 < share < 1.0:
        return share, share
    return interval(share * cars, cars)
