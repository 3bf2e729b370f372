"""A reading typed at the bench, brought to the unit of its check."""

from dataclasses import dataclass

from diagtree.measure.quantities import parse_quantity
from diagtree.measure.trouble import Trouble, quote
from diagtree.measure.units import convert


@dataclass(frozen=True, slots=True)
class Reading:
    """What a gauge showed: `value` in `unit`, the check's own, finite; and the text as typed, on one line."""

    value: float
    unit: str
    typed: str


def parse_reading(text: str, unit: str) -> Reading | Trouble:
    """Read '95', '95 kPa', '14 psi' or '1,5 bar' for a check that reads in `unit`.

    Args:
        text: what was typed, of any length and content.
        unit: the check's unit as its file spells it. A number alone is in it.

    Returns:
        The reading in `unit`, or a trouble that says what to type instead.
    """
    found = parse_quantity(text)
    if isinstance(found, Trouble):
        return Trouble(f"{found.message} {_instead(unit)}") if _needs_advice(found) else found
    own = not found.unit or found.unit == " ".join(unit.split())
    value = found.value if own else convert(found.value, found.unit, unit)
    if isinstance(value, Trouble):
        return value
    return Reading(value, unit, " ".join(text.split()))


def _needs_advice(trouble: Trouble) -> bool:
    """Whether the sentence does not yet say what to type."""
    return "Type " not in trouble.message


def _instead(unit: str) -> str:
    return f"Type the number that the gauge shows, alone or with its unit, such as 12 {quote(unit)[1:-1]}."
