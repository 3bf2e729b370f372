"""A cover problem in integers: what `search` and `solver` both solve.

Everything is scaled to whole numbers, so that two bills that tie, tie exactly.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

Counts: TypeAlias = tuple[int, ...]
Holds: TypeAlias = tuple[tuple[int, int], ...]  # (part, how many), how many above 0


@dataclass(frozen=True, slots=True)
class Box:
    """A kit: its price for one, and what it holds of the parts that are needed."""

    price: int
    holds: Holds


@dataclass(frozen=True, slots=True)
class IntegerCover:
    """Needs to be covered by kits and single parts.

    Attributes:
        need: how many of each part, above 0.
        prices: of one single part each.
        boxes: the kits.
        rank: the place of each number among all in use, parts first, then kits: a permutation from 0.
    """

    need: tuple[int, ...]
    prices: tuple[int, ...]
    boxes: tuple[Box, ...]
    rank: tuple[int, ...]
    charges: tuple[int, ...] = field(init=False)
    scale: int = field(init=False)

    def __post_init__(self) -> None:
        """Weigh the lines: `scale` of them never outweigh the least step in cost.

        Each number in use costs one line, less a bonus that is the greater the earlier it stands. Among sets of equally
        many numbers the greatest bonus (a binary number, earliest first) is the least sorted list.
        """
        lines = len(self.rank)
        object.__setattr__(self, "charges", tuple(2**lines - 2 ** (lines - 1 - rank) for rank in self.rank))
        object.__setattr__(self, "scale", (lines + 1) * 2**lines)


def rest(problem: IntegerCover, counts: Sequence[int]) -> list[int]:
    """What these kits leave to be bought singly, of each part."""
    left = list(problem.need)
    for box, count in zip(problem.boxes, counts, strict=True):
        if count:
            for part, held in box.holds:
                left[part] -= held * count
    return [max(0, more) for more in left]


def cost(problem: IntegerCover, counts: Sequence[int]) -> int:
    """What these kits cost with the single parts that they leave."""
    boxed = sum(box.price * count for box, count in zip(problem.boxes, counts, strict=True))
    return boxed + sum(price * more for price, more in zip(problem.prices, rest(problem, counts), strict=True))


def last_tie(problem: IntegerCover, counts: Sequence[int]) -> tuple[int, Counts]:
    """What decides between equal bills over the same numbers; the least is best.

    No kit that costs nothing is taken for its own sake; then more of the earlier number. Single parts that cost nothing
    have no say: they make up what the kits leave.
    """
    free = sum(count for box, count in zip(problem.boxes, counts, strict=True) if not box.price)
    pieces = (*rest(problem, counts), *counts)
    return free, tuple(-pieces[number] for number in deciding(problem))


def deciding(problem: IntegerCover) -> Counts:
    """The numbers whose counts decide, the earliest first: priced parts by their place, then kits."""
    singles = len(problem.need)
    chosen = (number for number in range(len(problem.rank)) if number >= singles or problem.prices[number])
    return tuple(sorted(chosen, key=problem.rank.__getitem__))
