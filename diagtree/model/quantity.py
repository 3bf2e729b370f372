"""Hours, conditions on a build, and amounts that may depend on a feature."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

Features: TypeAlias = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Hours:
    """Labour in hours, three-point: optimistic <= likely <= pessimistic, all at least 0."""

    optimistic: float
    likely: float
    pessimistic: float

    @property
    def mean(self) -> float:
        """The Beta-PERT mean with lambda 4: (a + 4m + b) / 6, in hours."""
        if self.optimistic == self.pessimistic:
            return self.likely  # a plain number stays the number as written
        return (self.optimistic + 4 * self.likely + self.pessimistic) / 6


NO_HOURS = Hours(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Condition:
    """`when:` every feature named must have one of its values."""

    terms: tuple[tuple[str, tuple[str, ...]], ...] = ()

    def admits(self, features: Features) -> bool:
        """Whether a build with these features is meant. A feature that it does not have is not matched."""
        return all(features.get(name) in values for name, values in self.terms)

    @property
    def features(self) -> tuple[str, ...]:
        """The features named, as written."""
        return tuple(name for name, _ in self.terms)


ALWAYS = Condition()


@dataclass(frozen=True, slots=True)
class Amount:
    """A number, or one number for each value of a feature."""

    fixed: float = 0.0
    feature: str = ""  # empty: `fixed` holds for every build
    by_value: Mapping[str, float] = field(default_factory=dict)

    def of(self, features: Features) -> float | None:
        """The number for a build with these features; None where none is written for it."""
        if not self.feature:
            return self.fixed
        return self.by_value.get(features.get(self.feature, ""))

    @property
    def numbers(self) -> tuple[float, ...]:
        """Every number that stands in it."""
        return tuple(self.by_value.values()) if self.feature else (self.fixed,)


@dataclass(frozen=True, slots=True)
class Take:
    """A part that a step or a check uses up, and how many (or how much, where the part has a unit)."""

    part: str
    quantity: Amount
