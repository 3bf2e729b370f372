"""Papers (ISO 216, A series; ANSI A and B; Arch A to E), and how small print may be on each.

The rule. Papers up to A2 and Arch C are read at arm's length: no print below 6 pt. The larger hang on a wall, and are
read from two metres: questions 24 pt or more, answers 18, small print 12. (Common practice, no source.)
"""

from collections.abc import Mapping
from dataclasses import dataclass

from diagtree.draw.picture import POINTS_PER_MM, Picture, Role, size_of

MARGIN = 10.0  # mm: what common printers leave unprinted, and a little more
_PLOTTED = 8.0  # mm, on papers that no desk printer takes: so that what fits a wall's sheet fits half its length, too


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet. Sides in mm; type sizes in points."""

    name: str
    short: float
    long: float
    least: Mapping[Role, float]
    largest_question: float  # a small tree is not blown up beyond this
    metric: bool = True
    margin: float = MARGIN  # mm, on each side

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
        Paper("A4", 210, 297, _NEAR, 16.0),
        Paper("Letter", 215.9, 279.4, _NEAR, 16.0, metric=False),
        Paper("Arch-A", 228.6, 304.8, _NEAR, 16.0, metric=False),
        Paper("Tabloid", 279.4, 431.8, _NEAR, 18.0, metric=False),
        Paper("A3", 297, 420, _NEAR, 18.0),
        Paper("Arch-B", 304.8, 457.2, _NEAR, 18.0, metric=False),
        Paper("A2", 420, 594, _NEAR, 24.0, margin=_PLOTTED),
        Paper("Arch-C", 457.2, 609.6, _NEAR, 24.0, metric=False, margin=_PLOTTED),
        Paper("A1", 594, 841, _WALL, 40.0),
        Paper("Arch-D", 609.6, 914.4, _WALL, 40.0, metric=False),
        Paper("A0", 841, 1189, _WALL, 56.0),
        Paper("Arch-E", 914.4, 1219.2, _WALL, 56.0, metric=False),
    )
}

_WORDS: Mapping[str, str] = {"question": "questions", "answer": "answers", "small": "small print"}


def too_small(picture: Picture, paper: Paper) -> str:
    """What is below the least size on this paper, in words; empty where all is readable."""
    for role, least in paper.least.items():
        found = size_of(picture, role)
        if found is not None and found < least - 0.005:
            size = f"{found:.1f}" if f"{found:.1f}" != f"{least:.1f}" else f"{found:.2f}"
            return f"the {_WORDS[role]} would be {size} pt on {paper.name}, and {least:g} pt is the least there"
    return ""
