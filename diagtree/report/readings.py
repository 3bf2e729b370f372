"""A reading for people: the limits of its answers, what was recorded, and why it is too close to call."""

from diagtree.measure import showing
from diagtree.measure.bands import bands_on, combine
from diagtree.model.check import Band
from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.reason.finding import Finding
from diagtree.walk.session import Session


def limits(band: Band, unit: str, shop_units: tuple[str, ...] = ()) -> str:
    """'below 100 kPa', '100 kPa or more', '8 to below 14 mm'; '' where a band has no end.

    In the shop's unit with the book's in brackets: 'below 103 kPa (15 psi)'.
    """
    end = "" if band.end is None else f"below {showing.limit(band.end, unit, shop_units)}"
    if band.start is None:
        return end
    if not end:
        return f"{showing.limit(band.start, unit, shop_units)} or more"
    plain = showing.shop_unit(unit, shop_units) is None
    start = f"{band.start:g}" if plain else showing.limit(band.start, unit, shop_units)
    return f"{start} to {end}"


def recorded(session: Session, finding: Finding) -> str:
    """`recorded_on`, for a walk."""
    return recorded_on(session.case.library, session.case.engine, finding)


def recorded_on(library: Library, engine: Engine, finding: Finding) -> str:
    """A reading, or the mean of several, in the shop's unit, no more precise than the gauge: '97 kPa (14.0 psi)'.

    The finding holds a reading.
    """
    check = library.checks[finding.check]
    unit, uncertainty = (check.gauge.unit, check.gauge.uncertainty) if check.gauge else ("", 0.0)
    value, sure = combine(finding.values, uncertainty)
    return showing.reading(value, sure, unit, tuple(bands_on(check, engine).values()), library.rates.units)


def clear_readings(session: Session, finding: Finding) -> str:
    """Which readings would be clear, as a sentence: 'Clear are readings below 91 or from 109 kPa.'; '' if none is.

    Of readings that count together the next one alone is meant.
    """
    check = session.case.library.checks[finding.check]
    if not check.gauge or finding.value is None:
        return ""
    bands = tuple(bands_on(check, session.case.engine).values())
    clear = showing.clear_of(check.gauge.uncertainty, check.gauge.unit, bands, session.case.library.rates.units)
    return f"Clear are readings {clear}." if clear else ""
