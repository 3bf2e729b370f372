"""The cheapest cover by branch and bound, in integers.

A node has bought some kits and may still buy those that pay: a kit whose parts would be cheaper singly never pays
again further down, as what it saves only shrinks. Two branches: one more of the kit that saves most, or no more of it.

The bound is a feasible solution of the linear programme's dual: prices for the parts, none above the single price, that
no kit's holding exceeds its price (weak duality; Chvatal, Linear Programming, 1983, chapter 5; from memory). Every
division rounds down, so that the bound holds exactly.
"""

from dataclasses import dataclass

from diagtree.scope.integers import Box, Counts, IntegerCover, last_tie

# Fractions of the least coin that a dual price keeps, in bits.
BITS = 12


@dataclass(slots=True)
class Best:
    """The best cover so far: its value (cost, then lines, then numbers, as one integer) and its kits."""

    value: int
    counts: Counts


@dataclass(frozen=True, slots=True)
class Node:
    """What is left to cover after some kits, and the kits that may still be bought: (index, kit)."""

    left: list[int]
    value: int
    counts: Counts
    open: tuple[tuple[int, Box], ...]


def search(problem: IntegerCover, limit: int) -> Counts | None:
    """How many of each kit the best cover holds; None where `limit` nodes did not settle it.

    Best is cheapest, then fewest numbers, then the least sorted list of numbers, then `last_tie`.
    """
    start = Node(list(problem.need), 0, (0,) * len(problem.boxes), tuple(enumerate(problem.boxes)))
    best = Best(_all_singles(problem, start), start.counts)
    waiting = [start]
    visited = 0
    while waiting:
        if visited == limit:
            return None
        visited += 1
        waiting.extend(_branches(problem, waiting.pop(), best))
    return best.counts


def _branches(problem: IntegerCover, node: Node, best: Best) -> tuple[Node, ...]:
    """The nodes below, the last to be looked at first. Takes note of the cover that buys no more kits."""
    _note(problem, node, best)
    paying = _paying(problem.prices, node)
    if not paying or node.value + problem.scale * _bound(problem.prices, node.left, paying) > best.value:
        return ()
    _, index, box = paying[0]
    others = tuple((other, kit) for _, other, kit in paying if other != index)
    return Node(node.left, node.value, node.counts, others), _with_one_more(problem, node, index, box, others)


def _with_one_more(
    problem: IntegerCover, node: Node, index: int, box: Box, others: tuple[tuple[int, Box], ...]
) -> Node:
    left = node.left.copy()
    for part, held in box.holds:
        left[part] -= held
    counts = node.counts
    line = 0 if counts[index] else problem.charges[len(problem.need) + index]
    return Node(
        left,
        node.value + problem.scale * box.price + line,
        (*counts[:index], counts[index] + 1, *counts[index + 1 :]),
        ((index, box), *others),
    )


def _paying(prices: tuple[int, ...], node: Node) -> list[tuple[int, int, Box]]:
    """The kits that still pay, as (what one saves, index, the kit less what is no longer needed); most saving first."""
    paying = []
    left = node.left
    for index, box in node.open:
        holds = tuple([(part, min(held, left[part])) for part, held in box.holds if left[part]])
        saving = sum([prices[part] * held for part, held in holds]) - box.price
        if saving >= 0 and holds:
            paying.append((saving, index, Box(box.price, holds)))
    paying.sort(key=lambda kit: (-kit[0], kit[1]))
    return paying


def _bound(prices: tuple[int, ...], left: list[int], paying: list[tuple[int, int, Box]]) -> int:
    """A cost below which what is left cannot be bought, by these kits and singly."""
    dual = [price << BITS for price in prices]
    for saving, _, box in paying:
        if not saving:
            break  # in falling order: from here on every kit's holding is within its price
        held_worth = sum([dual[part] * held for part, held in box.holds])
        price = box.price << BITS
        if held_worth > price:
            for part, _ in box.holds:
                dual[part] = dual[part] * price // held_worth
    return -(-sum([worth * more for worth, more in zip(dual, left, strict=True)]) >> BITS)


def _all_singles(problem: IntegerCover, node: Node) -> int:
    singles = sum([price * more for price, more in zip(problem.prices, node.left, strict=True)])
    lines = sum([charge for charge, more in zip(problem.charges, node.left, strict=False) if more])
    return node.value + problem.scale * singles + lines


def _note(problem: IntegerCover, node: Node, best: Best) -> None:
    value = _all_singles(problem, node)
    if value < best.value:
        best.value, best.counts = value, node.counts
    elif value == best.value and last_tie(problem, node.counts) < last_tie(problem, best.counts):
        best.counts = node.counts
