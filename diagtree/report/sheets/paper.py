"""Paper that a workshop's printer holds."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagtree.report.sheets.marks import Span

POINTS_PER_MM = 72 / 25.4
MARGIN = 14 * POINTS_PER_MM  # on every side: more than common printers leave unprinted, and room for a clip


@dataclass(frozen=True, slots=True)
class Paper:
    """An upright sheet, in points."""

    name: str
    width: float
    height: float

    @property
    def span(self) -> Span:
        """Where print may stand across."""
        return Span(MARGIN, self.width - 2 * MARGIN)


# A4: ISO 216, 210 x 297 mm. Letter: 8.5 x 11 inches (ANSI Y14.1; from memory).
PAPERS: Mapping[str, Paper] = {
    "A4": Paper("A4", 210 * POINTS_PER_MM, 297 * POINTS_PER_MM),
    "letter": Paper("letter", 612.0, 792.0),
}
