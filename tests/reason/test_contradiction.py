from collections.abc import Iterable
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from diagtree.reason import contradiction
from diagtree.reason.contradiction import smallest_cover


@given(st.lists(st.integers(0, 63), min_size=1, max_size=7))
def test_no_smaller_set_covers(masks: list[int]) -> None:
    whole = 0
    for mask in masks:
        whole |= mask
    found = smallest_cover(masks, whole)
    assert covers([masks[place] for place in found], whole)
    for size in range(len(found)):
        assert not any(covers(some, whole) for some in combinations(masks, size))


@given(st.lists(st.integers(0, 63), min_size=1, max_size=7))
def test_out_of_reach_nothing_can_be_left_out(masks: list[int]) -> None:
    """With no trials left the cover is the greedy one, and still none of it is idle."""
    whole = 0
    for mask in masks:
        whole |= mask
    trials, contradiction.MOST_TRIALS = contradiction.MOST_TRIALS, 0
    try:
        found = smallest_cover(masks, whole)
    finally:
        contradiction.MOST_TRIALS = trials
    assert covers([masks[place] for place in found], whole)
    for left_out in found:
        assert not covers([masks[place] for place in found if place != left_out], whole)


def covers(masks: Iterable[int], whole: int) -> bool:
    """Whether these bits together hold all of `whole`."""
    found = 0
    for mask in masks:
        found |= mask
    return found & whole == whole
