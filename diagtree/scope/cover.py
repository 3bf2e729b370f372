"""The cheapest set of kits and single parts that covers a need, exactly."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from diagtree.scope.integers import Counts, IntegerCover, cost, rest
from diagtree.scope.scaling import NOTHING, Bundle, Quantity, scale, whole
from diagtree.scope.search import search
from diagtree.scope.solver import solve

# About a tenth of a second of branch and bound; what is harder goes to the integer programme.
NODES = 2_000
UNLIMITED = -1


@dataclass(frozen=True, slots=True)
class Cover:
    """What to buy: how many of each single part and of each kit, and what it costs together."""

    singles: tuple[Fraction, ...]
    kits: tuple[int, ...]
    cost: Fraction


def cover(
    need: Sequence[Quantity],
    prices: Sequence[Quantity | None],
    kits: Sequence[Bundle],
    *,
    numbers: Sequence[str] | None = None,
    divisible: frozenset[int] = frozenset(),
) -> Cover | None:
    """The cheapest cover; of several the one of fewest lines, then by number. Surplus is allowed.

    Args:
        need: how many of each part, at least 0.
        prices: of one of each part, at least 0; None where it is sold in kits only.
        kits: prices and holdings at least 0.
        numbers: what is ordered, each its own line: parts first, then kits. Absent: in the order given.
        divisible: places of the parts that are sold in any decimal quantity; the others in whole pieces.

    Returns:
        The cover; None where no set of these covers the need. By number: the least sorted list of numbers; between
        covers of the same numbers the one with more of the earlier ones. Single parts make up what the kits leave,
        never more.
    """
    scaling = scale(need, prices, kits, divisible)
    problem = whole(scaling, need, prices, kits, _ranks(len(need) + len(kits), numbers))
    counts = _settle(problem)
    coins = cost(problem, counts)
    if coins >= scaling.forbidden:
        return None
    singles = [NOTHING] * len(need)
    for part, pieces, grain in zip(scaling.needed, rest(problem, counts), scaling.grain, strict=True):
        singles[part] = Fraction(pieces, grain)
    return Cover(tuple(singles), counts, Fraction(coins, scaling.money))


def _settle(problem: IntegerCover) -> Counts:
    counts = search(problem, NODES)
    if counts is None:
        counts = solve(problem)
    if counts is None:
        counts = search(problem, UNLIMITED)
    if counts is None:
        message = "a search without a limit ends with a cover"
        raise AssertionError(message)
    return counts


def _ranks(lines: int, numbers: Sequence[str] | None) -> list[int]:
    order = sorted(range(lines), key=lambda place: (numbers[place], place)) if numbers else range(lines)
    rank = [0] * lines
    for place, number in enumerate(order):
        rank[number] = place
    return rank
