"""A fault: a root, what it took with it, and the work that mends both. And the cautions."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from diagtree.model.quantity import ALWAYS, Condition

Level: TypeAlias = Literal["stop", "warn", "note"]
LEVELS: tuple[Level, ...] = ("stop", "warn", "note")

# Ids with a meaning of their own in weights, beliefs and tables.
OTHER = "other"
DEFAULT = "default"


@dataclass(frozen=True, slots=True)
class Fault:
    """A story that a car can bring, and its repair steps (none: no work needed)."""

    id: str
    title: str
    why: str
    repair: tuple[str, ...]
    verify: tuple[str, ...]
    when: Condition = ALWAYS
    cautions: tuple[str, ...] = ()
    kind_of: str = ""  # shares that kind's rows
    if_missed: float = 0.0  # money that leaving it destroys, beyond the come-back


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt somebody or something. A `stop` is shown first and acknowledged."""

    id: str
    say: str
    level: Level = "warn"
    when: Condition = ALWAYS
