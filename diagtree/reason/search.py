"""The best policy where its sets of answers are too many to list: search from here, between two bounds.

A node knows the cost of stopping, and for each answer of each check a bound below what follows and the cost of a
policy that is held. Following the least bounds closes the gap from below (AO*: Nilsson, Principles of Artificial
Intelligence, 1980); following good guesses through all their answers finds policies.
"""

from collections.abc import Callable

import numpy as np

from diagtree.model.tree import Question
from diagtree.reason.compact import Compact
from diagtree.reason.nodes import Node, Nodes
from diagtree.reason.orders import Orders, Plan
from diagtree.reason.parts import Parts

# What a search does is counted in nodes: so many plans, and so many sets of answers of groups, weigh as one.
_PLANS = 3_000
_PLANS_ONE_BY_ONE = 150  # where costs depend on the answers
_SETS = 20_000


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
        self._orders = Orders(of, self._nodes.losses, self._nodes.bounder, self._may)
        self._each = _PLANS_ONE_BY_ONE if of.varies else _PLANS
        self._plan: Plan | None = None
        self._parts: Parts | None = None

    @property
    def many(self) -> int:
        """How many nodes were met, and what else was done as if it were nodes."""
        sets = 0 if self._parts is None else self._parts.many // _SETS
        return len(self._nodes.met) + self._orders.many // self._each + sets

    @property
    def told(self) -> float:
        """Below every order: what it costs to be told the group of causes, times the chance of the answers."""
        return 0.0 if self._parts is None else self._parts.bound

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

    def order(self, floor: float) -> None:
        """Grow an order from the first node.

        Args:
            floor: share of all cars below which answers are not followed further.
        """
        root = self.root
        if root.closed or not len(root.moves):
            return
        plan = self._first()
        self._orders.grow([plan], floor)
        if self._plan is None or plan.cost < self._plan.cost:
            self._plan = plan
            self._hold(plan)

    def better(self) -> bool:
        """Better the order held where most is at stake; False where nothing is left to try."""
        if self._plan is None or self.root.closed or not self._orders.better(self._plan):
            return False
        self._hold(self._plan)
        return True

    def order_each(self, floor: float) -> None:
        """Grow an order from each first move."""
        root = self.root
        if not len(root.moves):
            return
        plans = [self._orders.ask(self._first(), int(at)) for at in root.moves]
        self._orders.grow([after for plan in plans for after in plan.after], floor)
        for plan in plans:
            self._hold(plan)

    def join(self, most: int) -> None:
        """Bound all orders by what they cost for those who are told a group of causes.

        Args:
            most: sets of answers that are listed for a group.
        """
        if self.root.closed or not len(self.root.moves):
            return
        self._parts = self._parts or Parts(self.of.here)
        self._parts.join(self._may, most)
        self.root.low = min(max(self.root.low, self._parts.bound), self.root.high)

    def _may(self, sets: int = 0) -> bool:
        """Whether so many sets of answers may be listed now."""
        return self._go_on(self.many + sets // _SETS)

    def _first(self) -> Plan:
        free = np.zeros(len(self.of.tests), dtype=np.bool_)
        free[self.root.moves] = True
        return self._orders.plan(self.root.digits, self.root.done, free)

    def _hold(self, plan: Plan) -> None:
        """Note what an order that begins with a check costs after each answer."""
        if plan.test < 0:
            return
        root = self.root
        places = root.answers(int(np.searchsorted(root.moves, plan.test)))
        for after in plan.after:
            place = places[after.digits[plan.test] - 1]
            root.highs[place] = max(root.lows[place], min(root.highs[place], after.cost))
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
