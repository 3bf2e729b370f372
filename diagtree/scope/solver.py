"""The cheapest cover as an integer programme, for the few that branch and bound does not settle quickly.

The one door to highspy. It computes in floats, so each answer is rounded and held against the integers that it stands
for; an answer that does not hold is not given.
"""

from typing import TYPE_CHECKING, Any

from diagtree.scope.integers import Counts, IntegerCover, cost, deciding, rest

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

# Binary weights that a float objective still tells apart, and a margin below one unit of a row of integers.
CHUNK = 12
HALF = 0.5
# A float of this size still tells integers apart, with room for the solver's own rounding.
EXACT = 2**40


def solve(problem: IntegerCover) -> Counts | None:
    """How many of each kit the best cover holds, best as in `search`; None where floats did not settle it.

    One objective after another, each held for the next: cost, lines, numbers, free kits, counts.
    """
    programme = _Programme(problem)
    if not programme.least(programme.bill) or cost(problem, programme.kits) > EXACT:
        return None
    bill = cost(problem, programme.kits)
    programme.keep(programme.bill, bill)
    lines = dict.fromkeys(programme.used, 1.0)
    if not programme.least(lines):
        return None
    programme.keep(lines, sum(map(bool, (*rest(problem, programme.kits), *programme.kits))))
    counts: Iterator[dict[int, float]] = ({number: -1.0} for number in deciding(problem))
    settled = programme.fix_each(programme.numbers()) and programme.spare() and programme.fix_each(counts)
    return programme.kits if settled and cost(problem, programme.kits) == bill else None


class _Programme:
    """Columns: single parts, kits, then one 0-1 column a number that says whether it is in use."""

    def __init__(self, problem: IntegerCover) -> None:
        self.problem = problem
        self.parts = len(problem.need)
        self.lines = len(problem.rank)
        self.used = range(self.lines, 2 * self.lines)
        prices = (*problem.prices, *(box.price for box in problem.boxes))
        self.bill = {column: float(price) for column, price in enumerate(prices)}
        self.by_rank = sorted(range(self.lines), key=problem.rank.__getitem__)
        self.solution: list[int] = []
        self.model = self._model()

    def _model(self) -> Any:
        import highspy

        # The public class greets on standard output while it is made; its own base does not.
        model = highspy.Highs.__base__()
        for option, value in (("output_flag", False), ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.0), ("threads", 1)):
            model.setOptionValue(option, value)
        limits = self._limits()
        for limit in (*limits, *(1 for _ in limits)):
            model.addVar(0.0, float(limit))
            model.changeColIntegrality(model.getNumCol() - 1, highspy.HighsVarType.kInteger)
        self.model = model
        self._cover(limits)
        return model

    def _limits(self) -> list[int]:
        """Most of each number that can be of use."""
        need = self.problem.need
        kits = [max((-(-need[part] // held) for part, held in box.holds), default=0) for box in self.problem.boxes]
        return [*need, *kits]

    def _cover(self, limits: list[int]) -> None:
        rows: list[dict[int, float]] = [{part: 1.0} for part in range(self.parts)]
        for index, box in enumerate(self.problem.boxes):
            for part, held in box.holds:
                rows[part][self.parts + index] = float(min(held, self.problem.need[part]))
        for row, needed in zip(rows, self.problem.need, strict=True):
            self._row(float(needed), float("inf"), row)
        for column, limit in enumerate(limits):
            self._row(float("-inf"), 0.0, {column: 1.0, self.used[column]: -float(limit)})

    def _row(self, low: float, high: float, row: dict[int, float]) -> None:
        import numpy as np

        columns = np.array(list(row), dtype=np.int32)
        self.model.addRow(low, high, len(row), columns, np.array(list(row.values()), dtype=np.float64))

    def numbers(self) -> "Iterator[dict[int, float]]":
        """The objectives that prefer the earlier numbers: binary numbers of a few bits each."""
        for start in range(0, len(self.by_rank), CHUNK):
            chunk = self.by_rank[start : start + CHUNK]
            yield {self.used[number]: -float(2 ** (len(chunk) - 1 - place)) for place, number in enumerate(chunk)}

    def spare(self) -> bool:
        """Take no kit that costs nothing for its own sake."""
        free = {self.parts + index: 1.0 for index, box in enumerate(self.problem.boxes) if not box.price}
        if not free:
            return True
        if not self.least(free):
            return False
        self.keep(free, sum(self.solution[kit] for kit in free))
        return True

    def fix_each(self, objectives: "Iterable[dict[int, float]]") -> bool:
        """Minimise one objective after another, holding its columns at what they then are."""
        for objective in objectives:
            if not self.least(objective):
                return False
            for column in objective:
                value = float(self.solution[column])
                self.model.changeColBounds(column, value, value)
        return True

    @property
    def kits(self) -> Counts:
        """How many of each kit the last solution holds."""
        return tuple(self.solution[self.parts : self.lines])

    def least(self, objective: dict[int, float]) -> bool:
        """Minimise; whether that ended with an optimum, which `solution` then holds."""
        import highspy
        import numpy as np

        columns = np.arange(2 * self.lines, dtype=np.int32)
        costs = np.zeros(len(columns))
        for column, weight in objective.items():
            costs[column] = weight
        self.model.changeColsCost(len(columns), columns, costs)
        self.model.run()
        if self.model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return False
        self.solution = [round(value) for value in self.model.getSolution().col_value]
        return True

    def keep(self, objective: dict[int, float], value: int) -> None:
        """Hold a best value, as a row for the solves that follow."""
        self._row(float("-inf"), value + HALF, objective)
