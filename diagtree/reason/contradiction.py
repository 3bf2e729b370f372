"""A smallest set of answers that together rule everything out."""

from collections.abc import Sequence

# Enough for every set of up to a handful of answers; past it the set is irredundant, not proved smallest.
MOST_TRIALS = 200_000


def smallest_cover(masks: Sequence[int], whole: int) -> tuple[int, ...]:
    """Indices of as few masks as cover `whole` (bits), ascending; `masks` together must cover it.

    Iterative deepening on the bit that the fewest masks cover: exact while it stays within `MOST_TRIALS`
    steps, after that a greedy cover from which nothing can be left out.
    """
    useful = _undominated(masks)
    greedy = _greedy(masks, useful, whole)
    trials = [MOST_TRIALS]
    for size in range(len(greedy)):
        found = _search(masks, useful, whole, size, trials)
        if found is not None:
            return tuple(sorted(found))
    return tuple(sorted(greedy))


def _undominated(masks: Sequence[int]) -> list[int]:
    """One index for each mask that no other mask contains."""
    first: dict[int, int] = {}
    for index, mask in enumerate(masks):
        first.setdefault(mask, index)
    return [
        index
        for mask, index in first.items()
        if mask and not any(mask != other and mask & other == mask for other in first)
    ]


def _greedy(masks: Sequence[int], useful: Sequence[int], whole: int) -> list[int]:
    chosen: list[int] = []
    left = whole
    while left:
        best = max(useful, key=lambda index: (masks[index] & left).bit_count())
        chosen.append(best)
        left &= ~masks[best]
    for index in tuple(chosen):
        others = 0
        for other in chosen:
            others |= masks[other] if other != index else 0
        if others & whole == whole:
            chosen.remove(index)
    return chosen


def _search(masks: Sequence[int], useful: Sequence[int], left: int, size: int, trials: list[int]) -> list[int] | None:
    """A cover of `left` by at most `size` masks, or None (also once the trials are used up)."""
    if not left:
        return []
    if size == 0 or trials[0] <= 0:
        return None
    # Some mask must cover this bit: the one with the fewest takers branches least.
    bits = [1 << place for place in range(left.bit_length()) if left >> place & 1]
    rarest = min((tuple(index for index in useful if masks[index] & bit) for bit in bits), key=len)
    for index in rarest:
        trials[0] -= 1
        rest = _search(masks, useful, left & ~masks[index], size - 1, trials)
        if rest is not None:
            return [index, *rest]
    return None
