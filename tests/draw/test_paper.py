"""Papers."""

from dataclasses import replace
from itertools import pairwise

import pytest

from diagtree.cli.draw import PAPER_NAMES
from diagtree.draw.paper import PAPERS, too_small
from diagtree.draw.picture import Picture
from diagtree.draw.setting import SIZES


def test_the_command_offers_every_paper() -> None:
    assert set(PAPER_NAMES) == set(PAPERS)


def test_each_metric_paper_is_two_of_the_next() -> None:
    """ISO 216: halving the long side gives the next size, in whole millimetres, rounded down."""
    papers = [paper for paper in PAPERS.values() if paper.metric]
    assert [paper.name for paper in papers] == ["A4", "A3", "A2", "A1", "A0"]
    for smaller, larger in pairwise(papers):
        assert (smaller.long, smaller.short) == (larger.short, larger.long // 2)


def test_the_others_are_in_whole_or_half_inches() -> None:
    """ANSI/ASME Y14.1, from memory: A is 8.5 x 11, B 11 x 17; Arch A to E double from 9 x 12 to 36 x 48."""
    inches = {paper.name: (paper.short / 25.4, paper.long / 25.4) for paper in PAPERS.values() if not paper.metric}
    assert {name: (round(short, 6), round(long, 6)) for name, (short, long) in inches.items()} == {
        "Letter": (8.5, 11),
        "Tabloid": (11, 17),
        "Arch-A": (9, 12),
        "Arch-B": (12, 18),
        "Arch-C": (18, 24),
        "Arch-D": (24, 36),
        "Arch-E": (36, 48),
    }


def test_what_fits_the_largest_sheet_in_its_type_fits_the_one_of_half_its_length() -> None:
    large, small = PAPERS["A0"], PAPERS["A2"]
    within = [(one.short - 2 * one.margin, one.long - 2 * one.margin) for one in (small, large)]
    shrunk = min(near / far for near, far in zip(*within, strict=True))
    assert large.least["question"] / SIZES.question * SIZES.small * shrunk >= small.least["small"]


def test_a_size_that_rounds_to_the_least_one_is_told_more_exactly(picture: Picture) -> None:
    least = PAPERS["A2"].least["small"]
    near = replace(
        picture,
        nodes=tuple(
            replace(box, words=tuple(replace(word, size=least - 0.02) for word in box.words if word.role == "small"))
            for box in picture.nodes
        ),
    )
    assert too_small(near, PAPERS["A2"]).startswith("the small print would be 5.98 pt on A2, and 6 pt is")


@pytest.mark.parametrize("name", ["A1", "A0", "Arch-D", "Arch-E"])
def test_type_on_a_wall_can_reach_its_least_sizes_together(name: str) -> None:
    """Where questions are 24 pt, answers are at least 18 and small print at least 12."""
    least = PAPERS[name].least
    scale = least["question"] / SIZES.question
    assert SIZES.answer * scale >= least["answer"] - 1e-9
    assert SIZES.small * scale >= least["small"]
