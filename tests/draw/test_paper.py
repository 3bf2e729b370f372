"""Papers."""

from itertools import pairwise

import pytest

from diagtree.cli.draw import PAPER_NAMES
from diagtree.draw.paper import PAPERS


def test_the_command_offers_every_paper() -> None:
    assert set(PAPER_NAMES) == set(PAPERS)


def test_each_paper_is_two_of_the_next() -> None:
    """ISO 216: halving the long side gives the next size, in whole millimetres, rounded down."""
    papers = list(PAPERS.values())
    for smaller, larger in pairwise(papers):
        assert (smaller.long, smaller.short) == (larger.short, larger.long // 2)


@pytest.mark.parametrize("name", ["A1", "A0"])
def test_type_on_a_wall_can_reach_its_least_sizes_together(name: str) -> None:
    """Where questions are 24 pt, answers are at least 18 and small print at least 12."""
    paper = PAPERS[name]
    scale = paper.least["question"] / paper.sizes.question
    assert paper.sizes.answer * scale >= paper.least["answer"]
    assert paper.sizes.small * scale >= paper.least["small"]
