"""Sets of answers as they are met, each with what it costs to stop there and two bounds on what is best."""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from diagtree.reason.bounds import Bounder, Bounds
from diagtree.reason.compact import Compact
from diagtree.reason.losses import Losses
from diagtree.reason.tables import Flags, Floats

Places = NDArray[np.intp]

# Bounds nearer than this share of the cost have met.
MET = 1e-10
# Bounds are made afresh where this share of all cars comes to.
_FRESH = 0.002


@dataclass(slots=True, eq=False)
class Node:
    """A set of answers. Costs are times the chance of these answers."""

    digits: bytes  # of each test: 0 not asked, else the place of its answer
    chances: Floats
    mass: float
    done: int
    stop: float
    low: float  # a bound below the best cost from here
    high: float  # the cost of the policy held from here
    bounds: Bounds
    moves: Places  # tests that may be asked and say something, in file order
    starts: Places  # of each move: its first answer in the arrays below
    price: Floats  # (moves,)
    lows: Floats  # (answers of all moves,)
    highs: Floats
    after: dict[int, "Node"] = field(default_factory=dict)  # answer of a move -> node, once met

    @property
    def gap(self) -> float:
        """How far the two bounds are apart."""
        return self.high - self.low

    @property
    def closed(self) -> bool:
        """Whether the two bounds have met."""
        return self.gap <= MET * self.high

    def costs(self, of_answers: Floats) -> Floats:
        """(moves,): price and what follows."""
        return np.asarray(self.price + np.add.reduceat(of_answers, self.starts), dtype=float)

    def answers(self, move: int) -> range:
        """The places of a move's answers."""
        end = self.starts[move + 1] if move + 1 < len(self.starts) else len(self.lows)
        return range(int(self.starts[move]), int(end))

    def take(self, answer: int, child: "Node") -> bool:
        """Note what is known after an answer; whether it is news."""
        low, high = max(self.lows[answer], child.low), min(self.highs[answer], child.high)
        news = bool(low > self.lows[answer] or high < self.highs[answer])
        self.lows[answer], self.highs[answer] = low, high
        return news

    def update(self) -> None:
        """Bring the bounds up to date with what is known to follow."""
        if len(self.moves):
            self.low = max(self.low, min(self.stop, float(self.costs(self.lows).min())))
            self.high = min(self.high, float(self.costs(self.highs).min()))
        self.low = min(self.low, self.high)


class Nodes:
    """The nodes met, one for each set of answers; where nothing new can be learned from the difference, for several."""

    def __init__(self, of: Compact, *, every: bool) -> None:
        """Meet the first.

        Args:
            of: the problem.
            every: keep all checks as first moves, also those that say nothing.
        """
        self.of = of
        self.met: dict[object, Node] = {}
        rows = [row for test in of.tests for row in test.rows]
        self._rows = np.array(rows).reshape(len(rows), len(of.chances)).T
        self._owner = np.array([at for at, test in enumerate(of.tests) for _ in test.rows], dtype=np.intp)
        self._place = np.array([place for test in of.tests for place in range(len(test.rows))], dtype=np.intp)
        self.losses = Losses(of)
        self.bounder = Bounder(of)
        digits = bytes(len(of.tests))
        free = np.ones(len(of.tests), dtype=np.bool_) if every else self._free(digits, of.chances)
        near = self.bounder.first(of.chances, 0, free.astype(float))
        self.root = self._make(digits, of.chances, 0, free, near)

    def follow(self, node: Node, answer: int) -> Node:
        """The node after an answer of a move."""
        if answer not in node.after:
            move = int(np.searchsorted(node.starts, answer, side="right")) - 1
            at = int(node.moves[move])
            place = answer - int(node.starts[move])
            digits = node.digits[:at] + bytes([place + 1]) + node.digits[at + 1 :]
            node.after[answer] = self._meet(
                node, digits, node.done | self.of.tests[at].behind, float(node.lows[answer])
            )
        return node.after[answer]

    def _meet(self, node: Node, digits: bytes, done: int, low: float) -> Node:
        # Multiplied in file order, so that the order of the checks does not show in the last bit.
        chances = self.of.chances
        for at, digit in enumerate(digits):
            if digit:
                chances = chances * self.of.tests[at].rows[digit - 1]
        free = self._free(digits, chances)
        key = digits if self.of.varies else (chances.tobytes(), free.tobytes(), done)
        found = self.met.get(key)
        if found is None:
            near = node.bounds
            if float(chances.sum()) >= _FRESH * self.root.mass:
                mu = near.duals[0].mu
                near = self.bounder.at(chances, done, free.astype(float), (mu / 1.6, mu, mu * 1.6))
            found = self._make(digits, chances, done, free, near)
            found.low = min(max(found.low, low), found.high)
            self.met[key] = found
        return found

    def _free(self, digits: bytes, chances: Floats) -> Flags:
        """(tests,): whether each may be asked and says something."""
        ruled_out = 0
        for at, digit in enumerate(digits):
            if digit:
                ruled_out |= self.of.forbids[at][digit - 1] | 1 << at
        free = np.array([not ruled_out >> at & 1 for at in range(len(digits))], dtype=np.bool_)
        live = self._rows[chances > 0.0]
        if not self.of.varies and len(live):
            says = np.zeros(len(digits), dtype=np.bool_)
            says[self._owner[(live != live[0]).any(axis=0)]] = True
            free &= says
        return free

    def _make(self, digits: bytes, chances: Floats, done: int, free: Flags, near: Bounds) -> Node:
        of = self.of
        mass = float(chances.sum())
        stop = self.losses.stop(digits, chances, done)
        moves = np.nonzero(free)[0]
        counts = [len(of.tests[at].rows) for at in moves]
        starts = np.cumsum([0, *counts[:-1]]).astype(np.intp)[: len(moves)]
        price = np.array([of.tests[at].price + of.access(of.tests[at].behind & ~done) for at in moves]) * mass
        node = Node(digits, chances, mass, done, stop, 0.0, stop, near, moves, starts, price, np.zeros(0), np.zeros(0))
        if len(moves):
            self._look(node, free)
        else:
            node.low = stop
        node.update()
        return node

    def _look(self, node: Node, free: Flags) -> None:
        """Bound what follows each answer."""
        columns = np.nonzero(free[self._owner])[0]
        owner, place = self._owner[columns], self._place[columns]
        chances = node.chances[:, None] * self._rows[:, columns]
        mass = chances.sum(axis=0)
        lows = node.bounds.lower(chances, self._left(free, owner, place))
        highs = np.empty(len(columns))
        for done, here in self._opened(node, owner):
            known = self.bounder.informed(done) @ chances[:, here]
            lows[here] = np.maximum(lows[here] - self.of.access(done & ~node.bounds.done) * mass[here], known)
            digits = [self._then(node.digits, int(columns[at])) for at in here] if self.of.varies else []
            highs[here] = self.losses.held(chances[:, here], mass[here], done, digits)
        node.lows, node.highs = np.minimum(lows, highs), highs

    def _left(self, free: Flags, owner: Places, place: Places) -> Floats:
        """(tests, answers): 1 where a test may still be asked after an answer."""
        left = np.repeat(free[:, None].astype(float), len(owner), axis=1)
        left[owner, np.arange(len(owner))] = 0.0
        for column, (at, answer) in enumerate(zip(owner.tolist(), place.tolist(), strict=True)):
            gone = self.of.forbids[at][answer]
            if gone:
                left[[other for other in range(len(free)) if gone >> other & 1], column] = 0.0
        return left

    def _opened(self, node: Node, owner: Places) -> Iterator[tuple[int, Places]]:
        """What is done after each answer, and the answers of which that is so."""
        after = [node.done | self.of.tests[at].behind for at in owner.tolist()]
        for done in dict.fromkeys(after):
            yield done, np.array([at for at, steps in enumerate(after) if steps == done], dtype=np.intp)

    def _then(self, digits: bytes, column: int) -> bytes:
        at = int(self._owner[column])
        return digits[:at] + bytes([int(self._place[column]) + 1]) + digits[at + 1 :]
