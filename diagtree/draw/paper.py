"""Papers (ISO 216, A series), and how small print may be on each.

The rule. A4, A3 and A2 are read at arm's length: no print below 6 pt. A1 and A0 hang on a wall: questions 24 pt or
more, answers 18, small print 12. (Common practice, no source.)
"""

from collections.abc import Mapping
from dataclasses import dataclass

from diagtree.draw.picture import POINTS_PER_MM, Picture, Role, size_of
from diagtree.draw.setting import NEAR, WALL, Sizes

MARGIN = 10.0  # mm, on any paper: what common printers leave unprinted, and a little more


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet. Sides in mm; type sizes in points."""

    name: str
    short: float
    long: float
    least: Mapping[Role, float]
    largest_question: float  # a small tree is not blown up beyond this
    sizes: Sizes

    @property
    def sheets(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Width and height in points: upright, then lying."""
        short, long = self.short * POINTS_PER_MM, self.long * POINTS_PER_MM
        return (short, long), (long, short)


_NEAR: Mapping[Role, float] = {"small": 6.0}
_WALL: Mapping[Role, float] = {"question": 24.0, "answer": 18.0, "small": 12.0}

PAPERS: Mapping[str, Paper] = {
    paper.name: paper
    for paper in (
        Paper("A4", 210, 297, _NEAR, 13.0, NEAR),
        Paper("A3", 297, 420, _NEAR, 16.0, NEAR),
        Paper("A2", 420, 594, _NEAR, 24.0, NEAR),
        Paper("A1", 594, 841, _WALL, 40.0, WALL),
        Paper("A0", 841, 1189, _WALL, 56.0, WALL),
    )
}

_WORDS: Mapping[str, str] = {"question": "questions", "answer": "answers", "small": "small print"}


def too_small(picture: Picture, paper: Paper) -> str:
    """What is below the least size on this paper, in words; empty where all is readable."""
    for role, least in paper.least.items():
        found = size_of(picture, role)
        if found is not None and found < least - 0.005:
            return f"the {_WORDS[role]} would be {found:.1f} pt on {paper.name}, and {least:g} pt is the least there"
    return ""
