"""Units typed by hand: whether one is known, and a value brought from one to another. The only importer of pint.

Pint is loaded only where two units are spelled differently: its start costs more than the rest of a command.
"""

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any, Literal, NamedTuple, TypeAlias

from diagtree.measure.spelling import LONGEST, spell, split, unsafe
from diagtree.measure.trouble import Trouble, quote

Flavour: TypeAlias = Literal["", "torque", "energy", "rotation", "frequency", "angle", "ratio"]


Dimension: TypeAlias = frozenset[tuple[str, Fraction]]  # '[length]' and so on, with the power


@dataclass(frozen=True, slots=True)
class UnitTrouble(Trouble):
    """A unit that cannot be brought to the check's, and what to type instead."""


class _Line(NamedTuple):
    """value in the new unit = scale * value + offset, exactly."""

    scale: Fraction
    offset: Fraction


class _Kind(NamedTuple):
    """What a unit measures. Dimensions alone do not tell a torque from an energy, or degrees from per cent."""

    dimension: Dimension
    flavour: Flavour


class _Unit(NamedTuple):
    pint: Any
    kind: _Kind


# What a person calls it, and units to offer; the first one defines the kind.
_NAMES = (
    ("pressure", ("kPa", "psi", "bar", "mbar", "Pa", "MPa")),
    ("torque", ("N m", "lbf ft", "lbf in")),
    ("temperature", ("°C", "°F")),
    ("length", ("mm", "in", "cm")),
    ("voltage", ("V", "mV")),
    ("current", ("A", "mA")),
    ("resistance", ("ohm", "kohm")),
    ("angle", ("deg",)),
    ("time", ("s", "min", "h")),
    ("volume", ("l", "ml")),
    ("speed of rotation", ("rpm",)),
    ("frequency", ("Hz", "kHz")),
    ("percentage", ("%",)),
    ("mass", ("kg", "g", "lb")),
    ("force", ("N", "lbf", "kgf")),
    ("speed", ("km/h",)),
    ("energy", ("J", "kJ")),
    ("power", ("kW", "W")),
    ("flow", ("l/min",)),
)
_IN_PINT = {"°C": "degree_Celsius", "°F": "degree_Fahrenheit", "%": "percent"}
_ANGLES = frozenset(
    {"degree", "radian", "turn", "arcminute", "arcsecond", "revolutions_per_minute", "revolutions_per_second"}
)
_LENGTH: Dimension = frozenset({("[length]", Fraction(1))})
_ENERGY: Dimension = frozenset({("[mass]", Fraction(1)), ("[length]", Fraction(2)), ("[time]", Fraction(-2))})
_PER_TIME: Dimension = frozenset({("[time]", Fraction(-1))})
_RATIOS = frozenset({"percent", "permille", "ppm"})


def known(unit: str) -> bool:
    """Whether readings in other units can be brought to this one. Loads pint only where it is in no table here."""
    spelled = spell(unit)
    return any(spelled in units for _, units in _NAMES) or _unit(spelled) is not None


def same_kind(unit: str, other: str) -> bool:
    """Whether two units in their one spelling measure the same. Loads pint only where one is in no table here."""
    rows = [next((name for name, units in _NAMES if one in units), None) for one in (unit, other)]
    if rows[0] and rows[1]:
        return rows[0] == rows[1]
    first, second = _unit(unit), _unit(other)
    return first is not None and second is not None and first.kind == second.kind


def convert(value: float, unit: str, to: str) -> float | UnitTrouble:
    """A value brought from one unit to another, rightly rounded from the decimal number that `value` prints as.

    Args:
        value: in `unit`; anything but a finite number is a trouble.
        unit: as typed: 'psi', 'PSI', 'lb ft', 'Nm'. Gauge pressures stay gauge pressures.
        to: the unit wanted, as the library spells it. Where both are one unit pint is not loaded.

    Returns:
        The value in `to`, or a trouble: another kind of unit, no unit known, too large.
        A temperature is a point on its scale; see `convert_span` for a difference.
    """
    return _convert(value, unit, to, span=False)


def convert_span(value: float, unit: str, to: str) -> float | UnitTrouble:
    """A difference or an uncertainty brought to another unit: by scale alone, 18 °F are 10 °C. As `convert` else."""
    return _convert(value, unit, to, span=True)


def factors(unit: str, to: str) -> tuple[Fraction, Fraction] | UnitTrouble:
    """The exact conversion: a value in `unit`, times the first plus the second, is the value in `to`."""
    line = _line(unit, to)
    if isinstance(line, UnitTrouble):
        return line
    return (line.scale, line.offset) if line else (Fraction(1), Fraction(0))


def _convert(value: float, unit: str, to: str, *, span: bool) -> float | UnitTrouble:
    if not math.isfinite(value):
        return UnitTrouble("That is no finite number. Type the number that the gauge shows.")
    # A paste is turned away before it could be kept in a cache.
    line = _line(unit, to) if len(unit) <= LONGEST else _unknown(unit, to)
    if isinstance(line, UnitTrouble):
        return line
    if line is None:
        return value
    # `repr` is the number as typed: 0.1 in is 2.54 mm, and a reading on a limit stays on it.
    exact = line.scale * Fraction(repr(float(value))) + (0 if span else line.offset)
    try:
        return float(exact)
    except OverflowError:
        return UnitTrouble(f"That is too large a number in {quote(to)}. Type the number that the gauge shows.")


@lru_cache(maxsize=256)
def _line(unit: str, to: str) -> _Line | UnitTrouble | None:
    """The exact conversion; `None` where both are the same unit."""
    source, target = spell(unit), spell(to)
    if source == target:
        return None
    wanted, given = _unit(target), _unit(source)
    if wanted is None:
        return None if _alike(source, target) else _only_in(unit, to)
    if given is None:
        return _unknown(unit, to)
    line = _measure(given.pint, wanted.pint) if given.kind == wanted.kind else None
    return _other_kind(unit, to) if line is None else line


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    # Exact fractions: decimal limits stay decimal through a conversion and back.
    return pint.UnitRegistry(non_int_type=Fraction)


@lru_cache(maxsize=256)
def _unit(spelling: str) -> _Unit | None:
    """What pint knows of a unit in its one spelling, `None` where it knows none or the spelling is unsafe."""
    factors = split(spelling)
    if factors is None or unsafe(spelling) is not None:
        return None
    registry = _registry()
    try:
        # Name by name: text from outside never reaches pint's own reader of expressions.
        named = tuple((registry.get_name(_IN_PINT.get(name, name)), power) for name, power in factors)
    except (AttributeError, KeyError, ValueError, TypeError):
        return None
    made = registry.Unit("")
    for name, power in named:
        made *= registry.Unit(name) ** power
    return _Unit(made, _kind(named, _dimension(made)))


def _dimension(unit: Any) -> Dimension:
    return frozenset((str(name), Fraction(power)) for name, power in unit.dimensionality.items())


def _kind(named: tuple[tuple[str, int], ...], dimension: Dimension) -> _Kind:
    names = {name for name, _ in named}
    flavour: Flavour = ""
    if dimension == _ENERGY:
        flavour = "torque" if _is_force_by_length(named) else "energy"
    elif dimension == _PER_TIME:
        flavour = "rotation" if names & _ANGLES else "frequency"
    elif not dimension:
        flavour = "angle" if names & _ANGLES else "ratio" if names & _RATIOS else ""
    return _Kind(dimension, flavour)


def _is_force_by_length(named: tuple[tuple[str, int], ...]) -> bool:
    registry = _registry()
    dimensions = [_dimension(registry.Unit(name)) for name, power in named if power == 1]
    return len(named) == 2 and sorted(map(len, dimensions)) == [1, 3] and _LENGTH in dimensions


def _measure(given: Any, wanted: Any) -> _Line | None:
    """Where 0 and 1 go. 2 tells a straight line from a logarithmic unit, which is refused."""
    quantity = _registry().Quantity
    try:
        zero, one, two = (Fraction(quantity(Fraction(x), given).to(wanted).magnitude) for x in (0, 1, 2))
    except (ArithmeticError, AttributeError, TypeError, ValueError):
        return None
    return _Line(one - zero, zero) if two - one == one - zero else None


def _alike(source: str, target: str) -> bool:
    """One counting word in two forms: 'Notches', '1 notch'."""
    small, wanted = source.casefold(), target.casefold()
    return wanted in (small, small + "s", small + "es")


def _name(to: str) -> tuple[str, tuple[str, ...]]:
    """What the unit measures in plain words ('' where there is no word), and other units to offer."""
    wanted = _unit(spell(to))
    for name, units in _NAMES:
        first = _unit(units[0])
        if first is not None and wanted is not None and first.kind == wanted.kind:
            return name, tuple(unit for unit in units if unit != spell(to))[:2]
    return "", ()


def _instead(to: str) -> str:
    _, others = _name(to)  # of the check, so that the sentence always offers what it takes
    wanted = quote(to)[1:-1]
    same_kind = f", or in a unit of the same kind such as {' or '.join(others)}" if others else ""
    return f"Type the reading in {wanted}{same_kind}."


def _other_kind(unit: str, to: str) -> UnitTrouble:
    name, _ = _name(to)
    what = f"is no {name}" if name else f"measures something else than {quote(to)}"
    return UnitTrouble(f"{quote(unit)} {what}. {_instead(to)}")


def _unknown(unit: str, to: str) -> UnitTrouble:
    return UnitTrouble(f"{quote(unit)} {unsafe(unit) or 'is no unit known here'}. {_instead(to)}")


def _only_in(unit: str, to: str) -> UnitTrouble:
    wanted = quote(to)[1:-1]
    if not wanted:
        return UnitTrouble(f"{quote(unit)} stands behind the number. This reading has no unit: type the number alone.")
    return UnitTrouble(f"{quote(unit)} cannot be turned into {wanted}. Type the reading in {wanted}.")
