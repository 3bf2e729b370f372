"""Readings as people are shown them: in the shop's unit with the book's in brackets, no more precise than they are."""

import math
from collections.abc import Sequence

from diagtree.measure.bands import band_of, clear_spans
from diagtree.measure.spelling import spell
from diagtree.measure.units import UnitTrouble, convert, convert_span, same_kind
from diagtree.model.check import Band

_MOST_DECIMALS = 9
_FIGURES = 5  # of a reading whose uncertainty nobody states: more than any gauge has


def shop_unit(unit: str, shop_units: Sequence[str]) -> str | None:
    """The shop's unit for what this one measures; None where the book's own is the shop's, or the shop has none.

    The unit library is loaded only for units that are in no table.
    """
    units = [spell(one) for one in shop_units]
    own = spell(unit)
    if not own or own in units:
        return None
    return next((one for one in units if same_kind(own, one)), None)


def as_precise(value: float, decimals: int, unit: str, to: str) -> str:
    """A book's figure in another unit: the fewest decimals from which the figure, to its own, can be had again.

    89 lbf in is 10 N m, not 10.06, and 25 N m is 2.5 kgf m, not 3.
    """
    converted = convert(value, unit, to)
    half_a_digit = convert_span(0.5 * 10.0**-decimals, unit, to)
    if isinstance(converted, UnitTrouble) or isinstance(half_a_digit, UnitTrouble):
        message = f"{unit!r} and {to!r} were both read as the same kind"
        raise TypeError(message)
    shown = 0
    while abs(round(converted, shown) - converted) > half_a_digit and shown < _MOST_DECIMALS:
        shown += 1
    return f"{converted:.{shown}f}"


def limit(value: float, unit: str, shop_units: Sequence[str]) -> str:
    """A limit as its file writes it: '100 kPa', or '103 kPa (15 psi)' in a shop of kilopascals."""
    book = f"{value:g} {unit}".rstrip()
    to = shop_unit(unit, shop_units)
    return f"{as_precise(value, _decimals(value), unit, to)} {to} ({book})" if to else book


def reading(value: float, uncertainty: float, unit: str, bands: Sequence[Band], shop_units: Sequence[str]) -> str:
    """A reading as recorded: '97 kPa', or '97 kPa (14.0 psi)'.

    Args:
        value: in `unit`.
        uncertainty: expanded (k = 2), in `unit`; 0 where nobody states one.
        unit: the check's.
        bands: the answers' on this engine: rounding never carries a reading into another one.
        shop_units: what the shop reads in.
    """
    book = f"{_rounded(value, uncertainty, bands)} {unit}".rstrip()
    to = shop_unit(unit, shop_units)
    if to is None:
        return book
    converted, span = convert(value, unit, to), convert_span(uncertainty, unit, to)
    if isinstance(converted, UnitTrouble) or isinstance(span, UnitTrouble):
        return book
    moved = [Band(_moved(band.start, unit, to), _moved(band.end, unit, to)) for band in bands]
    return f"{_rounded(converted, span, moved)} {to} ({book})"


def clear_of(uncertainty: float, unit: str, bands: Sequence[Band], shop_units: Sequence[str]) -> str:
    """Which readings would be clear: 'below 91 or from 109 kPa', 'below 7.1, from 8.9 to 13.1 or from 14.9 mm'.

    Rounded away from the limits, so that each reading named is clear. '' where there is nothing to tell.
    """
    to = shop_unit(unit, shop_units)
    book = _spans(uncertainty, unit, unit, bands)
    return f"{_spans(uncertainty, unit, to, bands)} ({book})" if to and book else book


def _spans(uncertainty: float, unit: str, to: str, bands: Sequence[Band]) -> str:
    limits = sorted(band.start for band in bands if band.start is not None)
    span = convert_span(uncertainty, unit, to)
    if not limits or uncertainty <= 0 or isinstance(span, UnitTrouble):
        return ""
    decimals = _decimals_of(span)
    said = []
    for low, high in filter(None, clear_spans(uncertainty, limits)):
        first = _up(_moved(low, unit, to), decimals)
        last = _down(_moved(high, unit, to), decimals)
        if first is None:
            said.append(f"below {last}")
        else:
            said.append(f"from {first}" if last is None else f"from {first} to {last}")
    return f"{', '.join(said[:-1])} or {said[-1]} {to}".rstrip() if len(said) > 1 else " ".join((*said, to)).rstrip()


def _up(value: float | None, decimals: int) -> str | None:
    """The next figure of so many decimals; None of no end."""
    if value is None or not math.isfinite(value):
        return None
    return f"{math.ceil(value * 10**decimals) / 10**decimals:.{decimals}f}"


def _down(value: float | None, decimals: int) -> str | None:
    below = _up(None if value is None else -value, decimals)
    return None if below is None else f"{0.0 - float(below):.{decimals}f}"


def _moved(value: float | None, unit: str, to: str) -> float | None:
    if value is None or not math.isfinite(value) or unit == to:
        return value
    converted = convert(value, unit, to)
    return None if isinstance(converted, UnitTrouble) else converted


def _decimals(value: float) -> int:
    """Digits behind the point of a number as a file writes it."""
    return len(f"{value:g}".partition("e")[0].partition(".")[2])


def _decimals_of(uncertainty: float) -> int:
    """Digits behind the point that an uncertainty leaves: its own two (JCGM 100, 7.2.6)."""
    return max(0, min(_MOST_DECIMALS, 1 - math.floor(math.log10(uncertainty))))


def _rounded(value: float, uncertainty: float, bands: Sequence[Band]) -> str:
    plain = f"{value:.{_FIGURES}g}" if abs(value) < 1e5 else f"{value:g}"
    if uncertainty <= 0 or not math.isfinite(uncertainty):
        return plain
    decimals = _decimals_of(uncertainty)
    if "e" not in plain and float(plain) == value and _decimals(value) <= decimals:
        return plain  # as it was typed
    held = band_of(value, bands)
    text = f"{value:.{decimals}f}"
    while band_of(float(text), bands) != held and decimals < _MOST_DECIMALS:
        decimals += 1
        text = f"{value:.{decimals}f}"
    return text
