"""Weights and tables from closed jobs: Dirichlet counts on top of the author's numbers.

Where a job's fault is not known, or only in part, its counts are shared out by what its answers make likely, again and
again until nothing moves: expectation-maximisation (Dempster, Laird and Rubin, J. R. Stat. Soc. B 39, 1977), with
posterior means in the place of maxima.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagtree.learning.cases import Alike, Shown, cause_of, places, row_key, row_keys
from diagtree.model.engine import Build
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.tables import Floats, tables

# How many cars the author's number is worth where nobody says.
STRENGTH = 20.0
_ROUNDS = 2_000
# The largest move of a chance that counts as none.
_STILL = 1e-9

RowName = tuple[str, str]  # check, key of its `given`
CellName = tuple[str, str]  # cause, value of the feature that its weight depends on ('' where on none)


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """One row of a table: how often each answer is seen."""

    author: Floats  # (answers,), sum 1: the author's, slips among it
    counts: Floats  # (answers,): cars that showed it; parts of cars where the fault is known in part
    learned: Floats  # (answers,), sum 1: (counts + strength * author) / (cars + strength)

    @property
    def cars(self) -> float:
        """How many cars it is learned from."""
        return float(self.counts.sum())


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """The weights of one tree, as shares of its visits in the builds that are made."""

    names: tuple[CellName, ...]
    author: Floats  # (cells,), sum 1
    author_weights: Floats  # (cells,): as the files have them
    counts: Floats  # (cells,): cars
    rates: Floats  # (cells,): the learned weights, in the author's scale
    learned: Floats  # (cells,), sum 1: their shares

    @property
    def cars(self) -> float:
        """How many cars it is learned from."""
        return float(self.counts.sum())


@dataclass(frozen=True, slots=True, eq=False)
class Learned:
    """What the jobs make of the author's numbers."""

    rows: Mapping[RowName, Row]
    weights: Mapping[str, Cells]  # by tree
    rounds: int  # until nothing moved
    strength: float


def learn(library: Library, cases: Iterable[Alike], shown: Iterable[Shown] = (), strength: float = STRENGTH) -> Learned:
    """Learn from jobs that fit the library (`fitting`).

    Args:
        library: the author's numbers.
        cases: closed jobs, counted. Of a job that is in `shown`, without its answers.
        shown: the answers of jobs of known fault, counted: what a table needs of them is no more than that.
        strength: how many cars an author's number is worth, above 0.

    Every row is learned from the jobs of all trees in which its check was answered; weights from the jobs that began in
    their tree. Which checks were asked may depend on the answers before: that does not bend the counts.
    """
    kept = tuple(cases)
    counted = tuple(shown)
    asked = {check for one in kept for check, _ in one.answers} | {one.check for one in counted}
    rows = _Rows(library, asked, strength)
    for one in counted:
        rows.know(library, one)
    parts = [
        _Part(library, library.trees[name], [one for one in kept if one.tree == name], rows, strength)
        for name in dict.fromkeys(one.tree for one in kept)
    ]
    rounds, moved = 0, np.inf
    while moved > _STILL and rounds < _ROUNDS:
        rounds += 1
        rows.counts = {name: row.copy() for name, row in rows.known.items()}
        moved = max((part.share_out() for part in parts), default=0.0)
        moved = max(moved, rows.update())
    return Learned(rows.result(), {part.tree.id: part.result() for part in parts}, rounds, strength)


class _Rows:
    """The rows of all checks that were answered, as they stand in a round."""

    def __init__(self, library: Library, checks: Iterable[str], strength: float) -> None:
        self._strength = strength
        self.author: dict[RowName, Floats] = {}
        for name in sorted(checks):
            check = library.checks[name]
            for key, row in check.given.items():
                if any(row):
                    share = np.array(row) / sum(row)
                    self.author[name, key] = (1 - check.slip) * share + check.slip / len(share)
        self.learned = dict(self.author)
        self.known = {name: np.zeros(len(row)) for name, row in self.author.items()}
        self.counts = self.known

    def know(self, library: Library, one: Shown) -> None:
        """Count answers of jobs of known fault."""
        place = [answer.id for answer in library.checks[one.check].answers].index(one.answer)
        for key in row_keys(library, library.trees[one.tree], one.check, one.fault):
            if (one.check, key) in self.known:
                self.known[one.check, key][place] += one.many

    def update(self) -> float:
        """Rows from the counts of this round; the largest move of a chance."""
        moved = 0.0
        for name, author in self.author.items():
            counts = self.counts[name]
            row = (counts + self._strength * author) / (counts.sum() + self._strength)
            moved = max(moved, float(np.abs(row - self.learned[name]).max()))
            self.learned[name] = row
        return moved

    def result(self) -> dict[RowName, Row]:
        return {name: Row(self.author[name], self.counts[name], self.learned[name]) for name in self.author}


class _Part:
    """One tree's jobs and weights, as they stand in a round."""

    def __init__(self, library: Library, tree: Tree, cases: Sequence[Alike], rows: _Rows, strength: float) -> None:
        self.tree = tree
        self._rows = rows
        self._cases = cases
        made = places(library, tree)
        known = tables(library, tree, [build for _, build in made], ())
        self._causes = known.causes
        shares = np.array([build.share for _, build in made])
        # Shares are of one engine. How common engines are beside one another nobody states: each job names its own.
        self._shares = shares if shares.any() else np.ones(len(made))
        admitted = known.log_prior > -np.inf
        self._cells(tree, made, admitted)
        self._many = np.array([float(one.many) for one in cases])
        self._may = self._allowed(library, made)
        self._keys = self._answered(library)
        prior = self._joint(self._author)
        self._alpha = strength * np.array([prior[self._cell == at].sum() for at in range(len(self.names))])
        self._pseudo = strength * prior.sum(axis=0)
        self._rates = self._author.copy()
        self._counts = np.zeros(len(self.names))

    def _cells(self, tree: Tree, made: Sequence[tuple[str, Build]], admitted: NDArray[np.bool_]) -> None:
        names: dict[CellName, int] = {}
        author: list[float] = []
        self._cell = np.full(admitted.shape, -1)
        for at, cause in enumerate(self._causes):
            for column, (_, build) in enumerate(made):
                if not admitted[at, column]:
                    continue
                amount = tree.weights.get(cause)
                features = build.features
                value = features.get(amount.feature, "") if amount and amount.feature else ""
                if (cause, value) not in names:
                    names[cause, value] = len(names)
                    author.append((amount.of(features) if amount else tree.other) or 0.0)
                self._cell[at, column] = names[cause, value]
        self.names = tuple(names)
        self._author = np.array(author)

    def _joint(self, rates: Floats) -> Floats:
        """(causes, builds), sum 1: how common each is."""
        weights = np.where(self._cell >= 0, rates[self._cell], 0.0) * self._shares
        return np.asarray(weights / weights.sum())

    def _allowed(self, library: Library, made: Sequence[tuple[str, Build]]) -> NDArray[np.bool_]:
        """(jobs, causes, builds): what each job may have been."""
        may = np.zeros((len(self._cases), *self._cell.shape), dtype=np.bool_)
        for at, one in enumerate(self._cases):
            causes = {cause_of(library, self.tree, fault) for fault in one.faults} or set(self._causes)
            rows = np.array([cause in causes for cause in self._causes])
            columns = np.array([engine == one.engine and build.id in one.builds for engine, build in made])
            may[at] = rows[:, None] & columns[None, :] & (self._cell >= 0)
        return may

    def _answered(self, library: Library) -> list[tuple[NDArray[np.intp], int, int, RowName]]:
        """(jobs, place among the answers, cause, row), for each answer of each cause that has a row."""
        found: dict[tuple[str, str], list[int]] = {}
        for at, one in enumerate(self._cases):
            for pair in one.answers:
                found.setdefault(pair, []).append(at)
        keys = []
        for (check, answer), jobs in found.items():
            place = [one.id for one in library.checks[check].answers].index(answer)
            for cause, name in enumerate(self._causes):
                key = row_key(library, check, name)
                if key is not None and (check, key) in self._rows.author:
                    keys.append((np.array(jobs, dtype=np.intp), place, cause, (check, key)))
        # Where a cause has no row, every answer is equally likely.
        self._even = np.zeros((len(self._cases), len(self._causes)))
        for (check, _), jobs in found.items():
            for cause, name in enumerate(self._causes):
                key = row_key(library, check, name)
                if key is None or (check, key) not in self._rows.author:
                    self._even[jobs, cause] -= np.log(len(library.checks[check].answers))
        return keys

    def share_out(self) -> float:
        """Share the jobs out among causes and builds, add to the rows' counts, renew the weights; the largest move."""
        logs = self._even.copy()
        with np.errstate(divide="ignore"):  # log 0 is -inf, and meant
            for jobs, place, cause, name in self._keys:
                logs[jobs, cause] += np.log(self._rows.learned[name][place])
            joint = np.log(self._joint(self._rates))
        whole = np.where(self._may, logs[:, :, None] + joint[None], -np.inf)
        top = whole.max(axis=(1, 2), keepdims=True)
        # A job that nothing in the library can have been says nothing.
        weights = np.exp(whole - np.where(top > -np.inf, top, 0.0))
        total = weights.sum(axis=(1, 2), keepdims=True)
        shares = np.divide(weights, total, out=np.zeros_like(weights), where=total > 0) * self._many[:, None, None]
        by_cause = shares.sum(axis=2)
        for jobs, place, cause, name in self._keys:
            self._rows.counts[name][place] += by_cause[jobs, cause].sum()
        return self._renew(shares.sum(axis=0))

    def _renew(self, counts: Floats) -> float:
        """Weights that give each cell its share in the builds that can have it (iterative proportional fitting)."""
        self._counts = np.array([counts[self._cell == at].sum() for at in range(len(self.names))])
        visits = counts.sum(axis=0) + self._pseudo
        wanted = self._counts + self._alpha
        before = self._learned()
        for _ in range(5):
            weights = np.where(self._cell >= 0, self._rates[self._cell], 0.0)
            totals = weights.sum(axis=0)
            exposure = np.divide(visits, totals, out=np.zeros_like(visits), where=totals > 0)
            each = np.array([np.where(self._cell == at, exposure, 0.0).sum() for at in range(len(self.names))])
            self._rates = np.divide(wanted, each, out=np.zeros_like(wanted), where=each > 0)
        scale = self._author.sum() / self._rates.sum()
        self._rates = self._rates * scale
        return float(np.abs(self._learned() - before).max(initial=0.0))

    def _learned(self) -> Floats:
        joint = self._joint(self._rates)
        return np.array([joint[self._cell == at].sum() for at in range(len(self.names))])

    def result(self) -> Cells:
        prior = self._joint(self._author)
        author = np.array([prior[self._cell == at].sum() for at in range(len(self.names))])
        return Cells(self.names, author, self._author, self._counts, self._rates, self._learned())
