"""Tightening steps: what a book says, and how a shop with other wrenches reads it."""

from collections.abc import Sequence
from dataclasses import dataclass

from diagtree.measure.quantities import parse_quantity
from diagtree.measure.showing import as_precise
from diagtree.measure.spelling import spell
from diagtree.measure.trouble import Trouble, quote
from diagtree.measure.units import UnitTrouble, convert

LEAST, MOST = 0.001, 100_000.0  # of any value in any unit of the trade
_INSTEAD = "Write it as 10 N m, 30 lbf ft, 180 deg, or -360 deg to loosen."
# Spelled so in most books: known without the unit library.
_TORQUES = frozenset({"N m", "lbf ft", "lbf in"})


@dataclass(frozen=True, slots=True)
class TorqueStep:
    """One step of a tightening sequence, as the book wrote it."""

    value: float  # in `unit`; a negative angle loosens
    unit: str  # in its one spelling: 'N m', 'lbf ft', 'lbf in', 'deg'
    is_angle: bool
    decimals: int  # digits after the book's point


def parse_step(text: str) -> TorqueStep | Trouble:
    """Read '10 N m', '89 lbf in', '180 deg' or '-360 deg'. A torque is above 0, an angle is not 0."""
    found = parse_quantity(text)
    if isinstance(found, Trouble):
        return Trouble(f"{found.message} {_INSTEAD}")
    unit = spell(found.unit)
    if not unit:
        return Trouble(f"{quote(text)} has no unit. {_INSTEAD}")
    is_angle = _is_angle(unit)
    if not is_angle and not _is_torque(unit):
        return Trouble(f"{quote(found.unit)} is neither a torque nor an angle. {_INSTEAD}")
    if not is_angle and found.value <= 0:
        return Trouble(f"{quote(text)}: a torque is above 0. {_INSTEAD}")
    if not LEAST <= abs(found.value) <= MOST:
        return Trouble(f"{quote(text)} is no value for a bolt. {_INSTEAD}")
    return TorqueStep(found.value, unit, is_angle, found.decimals)


def show(step: TorqueStep, shop_units: Sequence[str]) -> str:
    """The step in the shop's unit with the book's in brackets: '41 N m (30 lbf ft)'; the book's alone where it will do.

    The figure has the fewest decimals from which the book's own figure, to the book's own decimals, can be had
    again: 89 lbf in is 10 N m, not 10.06, and 25 N m is 2.5 kgf m, not 3.
    """
    book = f"{step.value:.{step.decimals}f} {step.unit}"
    units = [spell(unit) for unit in shop_units]
    # Looked up before any is asked what it measures, which would load the unit library.
    if step.is_angle or step.unit in units:
        return book
    torques = [unit for unit in units if _is_torque(unit)]
    if not torques:
        return book
    return f"{as_precise(step.value, step.decimals, step.unit, torques[0])} {torques[0]} ({book})"


def ends_in_angle(steps: Sequence[TorqueStep]) -> bool:
    """Whether the last step is an angle: the bolt is stretched, and used once."""
    return bool(steps) and steps[-1].is_angle


def _is_torque(unit: str) -> bool:
    return unit in _TORQUES or not isinstance(convert(1.0, unit, "N m"), UnitTrouble)


def _is_angle(unit: str) -> bool:
    return unit == "deg" or (unit not in _TORQUES and not isinstance(convert(1.0, unit, "deg"), UnitTrouble))
