"""A chain drive weighed whole: its pattern of offsets, the elongation that it speaks of, what to measure again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from diagtree.measure.patterns import Pattern, Posterior, Remeasure, measure_again, offered, pattern, posterior
from diagtree.model.check import OFFSET_ANSWERS
from diagtree.model.engine import Timing


@dataclass(frozen=True, slots=True)
class Drive:
    """A chain drive and, where offsets were read, what they say."""

    timing: Timing
    offsets: Mapping[str, float] = field(default_factory=dict)  # crank degrees by camshaft; empty: none were read
    uncertainty: float | None = None  # of each offset, expanded (k = 2), crank degrees
    pattern: Pattern | None = None
    elongation: Posterior | None = None
    again: Remeasure | None = None  # where the pattern is not clear


def weigh(
    timing: Timing, offsets: Mapping[str, float], uncertainty: float, listed: Sequence[str] = OFFSET_ANSWERS
) -> Drive:
    """What these offsets say of the drive. `listed`: the patterns to weigh; those that the engine can't show drop out.

    Arguments and errors as `patterns.log_likelihoods`; at least one offset.
    """
    able = offered(timing, listed)
    found = pattern(timing, offsets, uncertainty, able)
    again = None if found.clear else measure_again(timing, offsets, uncertainty, able)
    return Drive(timing, offsets, uncertainty, found, posterior(timing, offsets, uncertainty), again)
