"""Why something cannot be drawn, as a value."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Refusal:
    """One sentence for the user: what is wrong, then what to do."""

    sentence: str
