"""A check: one inspection or test with one answer."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from diagtree.model.quantity import ALWAYS, Condition, Hours, Take

CheckKind: TypeAlias = Literal["choice", "reading", "codes", "offsets"]
Temperature: TypeAlias = Literal["cold", "hot"]

DEFAULT_SLIP = 0.01

# The order in which an offsets check lists its answers.
OFFSET_ANSWERS = ("none", "stretched", "all-together", "one-bank", "one-cam", "mixed")

# Renooij and Witteman, Int. J. Approx. Reasoning 22 (1999); from memory. Per cent.
CHANCE_WORDS: Mapping[str, float] = {
    "impossible": 0.0,
    "improbable": 15.0,
    "uncertain": 25.0,
    "fifty-fifty": 50.0,
    "expected": 75.0,
    "probable": 85.0,
    "certain": 100.0,
}


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of a reading's line: `start` inclusive, `end` exclusive, None open, in the check's unit."""

    start: float | None = None
    end: float | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing a check can show."""

    id: str
    text: str
    band: Band | None = None  # of a reading
    groups: tuple[tuple[str, ...], ...] = ()  # of trouble codes: each group needs one stored code


@dataclass(frozen=True, slots=True)
class Gauge:
    """What a reading is taken in: unit, and expanded uncertainty U (k = 2) in that unit, at least 0."""

    unit: str
    uncertainty: float = 0.0


@dataclass(frozen=True, slots=True)
class Check:
    """One inspection or test. `given` rows are per cent or any weights, one number for each answer, in order."""

    id: str
    ask: str
    answers: tuple[Answer, ...]
    hours: Hours
    kind: CheckKind = "choice"
    how: str = ""
    tools: tuple[str, ...] = ()
    behind: tuple[str, ...] = ()  # work steps done first
    takes: tuple[Take, ...] = ()
    cautions: tuple[str, ...] = ()
    when: Condition = ALWAYS
    gauge: Gauge | None = None  # of a reading
    offset_uncertainty: float = 0.0  # of offsets: expanded, k = 2, crank degrees
    independent: bool = False  # repeated readings count as independent
    plausible: Band | None = None  # outside it the walk asks again
    given: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    never_after: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    wait: float = 0.0  # hours that pass unpaid
    needs: Temperature | None = None
    leaves: Temperature | None = None
    slip: float = DEFAULT_SLIP
    source: str = ""

    def answer(self, answer_id: str) -> Answer | None:
        """The answer of this id."""
        return next((answer for answer in self.answers if answer.id == answer_id), None)
