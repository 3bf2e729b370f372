"""The best policy where its sets of answers are too many to list: search from here, between two bounds.

A node knows the cost of stopping, and for each answer of each check a bound below what follows and the cost of a
policy that is held. Following the least bounds closes the gap from below (AO*: Nilsson, Principles of Artificial
Intelligence, 1980); following good guesses through all their answers finds policies.
"""

from collections.abc import Callable, Sequence

import numpy as np

from diagtree.model.tree import Question
from diagtree.reason.compact import Compact
from diagtree.reason.nodes import Node, Nodes
from diagtree.reason.rollout import Front, Rollout


class Search:
    """Ways to bring the two bounds of the first node together."""

    def __init__(self, of: Compact, go_on: Callable[[int], bool], *, every: bool = False) -> None:
        """Meet the first node.

        Args:
            of: the problem.
            go_on: asked with the number of nodes met, before each.
            every: keep all checks as first moves, also those that say nothing.
        """
        self.of = of
        self._nodes = Nodes(of, every=every)
        self.root = self._nodes.root
        self._go_on = go_on

    @property
    def many(self) -> int:
        """How many nodes were met."""
        return len(self._nodes.met)

    def deepen(self, first: int | None = None) -> bool:
        """Follow the least bounds to a node not met yet; False where that brings no news.

        Args:
            first: the first move, if it is given.
        """
        path = []
        node, met = self.root, True
        while met and len(node.moves) and (first is not None or not node.closed):
            move = int(np.argmin(node.costs(node.lows))) if first is None else first
            first = None
            gaps = node.highs - node.lows
            answer = max(node.answers(move), key=lambda at: float(gaps[at]))
            met = answer in node.after
            path.append((node, answer))
            node = self._nodes.follow(node, answer)
        changed = not met
        for before, answer in reversed(path):
            changed |= before.take(answer, before.after[answer])
            before.update()
        return changed

    def guess(self, node: Node, share: float, least: float, first: int | None = None) -> None:
        """Follow one policy through all its answers: at each node the least mixture of its bounds.

        Args:
            node: where to start.
            share: of the upper bound in the mixture; 1 is the best look next.
            least: gaps below this are left alone.
            first: the first move, if it is given.
        """
        if not len(node.moves) or (first is None and node.gap <= least):
            return
        mixed = node.costs(node.lows + share * (node.highs - node.lows))
        move = int(np.argmin(mixed)) if first is None else first
        if first is None and mixed[move] >= node.stop:
            return
        for answer in node.answers(move):
            if node.highs[answer] - node.lows[answer] > least and self._go_on(self.many):
                child = self._nodes.follow(node, answer)
                self.guess(child, share, least)
                node.take(answer, child)
        node.update()

    def roll(self, share: float, moves: Sequence[int] | None = None) -> None:
        """Follow policies by an estimate from the first node (not where costs depend on the answers).

        Args:
            share: of the price of a nat that bounds best: how dear doubt is taken to be.
            moves: first moves to try; None: what the estimate finds best.
        """
        root = self.root
        if root.closed or not len(root.moves):
            return
        mu = root.bounds.duals[0].mu * share
        free = np.zeros(len(self.of.tests), dtype=np.bool_)
        free[root.moves] = True
        dual = self._nodes.bounder.at(root.chances, 0, free.astype(float), [mu]).duals[0]
        rollout = Rollout(self.of, self._nodes.losses, self._nodes.bounder)
        first = Front(root.chances[:, None], (0,), free[None, :], np.zeros(1, dtype=np.intp))
        if moves is None:
            moves = [int(np.searchsorted(root.moves, rollout.first(first, dual)))]
        starts = [rollout.asked(first, int(root.moves[move])) for move in moves]
        found = rollout.costs(starts, dual, lambda: self._go_on(self.many))
        places = [answer for move in moves for answer in root.answers(move)]
        root.highs[places] = np.minimum(root.highs[places], found)
        root.update()

    def author(self, node: Node, name: str) -> None:
        """Follow the checks of the tree as it is written, from one of its nodes, and stop where it stops."""
        found = self.of.here.case.tree.nodes.get(name)
        if not isinstance(found, Question) or not len(node.moves):
            return
        known = self.of.here.findings.get(found.check)
        place = {test.check.id: at for at, test in enumerate(self.of.tests)}.get(found.check)
        if known is not None:
            self.author(node, found.then[known.answer])
        elif place is None or place not in node.moves:
            self.author(node, found.otherwise or next(iter(found.then.values())))
        else:
            test = self.of.tests[place]
            move = int(np.searchsorted(node.moves, place))
            for answer, places in zip(node.answers(move), test.places, strict=True):
                if node.highs[answer] > node.lows[answer] and self._go_on(self.many):
                    child = self._nodes.follow(node, answer)
                    self.author(child, found.then[test.check.answers[places[0]]])
                    node.take(answer, child)
            node.update()
