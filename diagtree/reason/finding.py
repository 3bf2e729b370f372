"""What one check showed, as evidence. Kept free of numpy: the walk holds findings long before it weighs them."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagtree.model.check import Check


@dataclass(frozen=True, slots=True)
class Finding:
    """An answer to a check, and how much it weighs for each answer of the check."""

    check: str
    answer: str  # steers the walk
    shares: tuple[float, ...]  # one for each answer of the check, in its order, in [0, 1], sum 1
    values: tuple[float, ...] = ()  # of a reading, in the check's own unit; several where repeats are independent
    codes: tuple[str, ...] | None = None  # where trouble codes were typed; none stored: empty
    # Crank degrees by camshaft, in the engine's order; several sets where repeats are independent.
    offsets: tuple[tuple[tuple[str, float], ...], ...] = ()
    # How sure each of these sets is: expanded (k = 2), crank degrees. Empty: as the check says.
    uncertainties: tuple[float, ...] = ()
    remarks: tuple[str, ...] = field(default=(), compare=False)  # sentences to tell once, of how it was had

    @property
    def value(self) -> float | None:
        """The reading, or the mean of independent ones, in the check's own unit."""
        return sum(self.values) / len(self.values) if self.values else None

    @property
    def offset(self) -> Mapping[str, float]:
        """Camshaft -> its offset, or the mean of independent ones, in crank degrees; empty where none were typed."""
        return {
            pairs[0][0]: sum(degrees for _, degrees in pairs) / len(pairs) for pairs in zip(*self.offsets, strict=True)
        }

    @property
    def clearest(self) -> float:
        """The largest share: how sure the band or the pattern is."""
        return max(self.shares)


def plain(check: Check, answer: str) -> Finding:
    """An answer taken as it stands. `answer` must be one of the check's."""
    return Finding(check.id, answer, tuple(float(one.id == answer) for one in check.answers))
