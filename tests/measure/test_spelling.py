"""How people spell units, brought to one spelling."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.measure.spelling import render, spell, split, unsafe


@pytest.mark.parametrize(
    ("typed", "unit"),
    [
        *((typed, "N m") for typed in ("Nm", "N m", "N·m", "N*m", "N.m", "N-m", "nm", "NM", "m N")),
        *(
            (typed, "lbf ft")
            for typed in ("lb ft", "lbf ft", "lb*ft", "ft lb", "ft-lbs", "FT LB", "lbft", "lb-ft", "ft·lbf")
        ),
        *((typed, "lbf in") for typed in ("lbf in", "in lb", "in-lbs", "inlb", "lb in")),
        *((typed, "psi") for typed in ("PSI", "psi", "psig", "Psi")),
        *((typed, "bar") for typed in ("Bar", "BAR", "bar", "barg")),
        *((typed, "kPa") for typed in ("KPA", "kPa", "kpa", "Kpa", "kPa.")),
        *((typed, "inHg") for typed in ("inHg", "in Hg", "INHG")),
        *((typed, "kgf/cm2") for typed in ("kgf/cm2", "kg/cm2", "kg/cm²", "kgf/cm^2", "kgf / cm**2")),
        *((typed, "kgf m") for typed in ("kgf m", "kg m", "kgm", "mkg")),
        *((typed, "in") for typed in ("in", "inch", '"', "″")),
        *((typed, "°C") for typed in ("°C", "degC", "deg C", "C", "c", "ºC", "℃")),
        *((typed, "°F") for typed in ("°F", "degF", "F", "℉")),
        *((typed, "ohm") for typed in ("ohm", "Ω", "\N{OHM SIGN}", "Ohms")),
        *((typed, "deg") for typed in ("deg", "°", "degrees")),
        *((typed, "rpm") for typed in ("rpm", "RPM", "1/min", "r/min", "min-1")),
        ("m kN", "kN m"),
        ("m in", "m in"),  # no minutes
        ("m s", "m s"),  # no milliseconds
        ("mV", "mV"),
        ("mv", "mV"),
        ("MΩ", "Mohm"),
        ("mΩ", "mohm"),
        ("MPa", "MPa"),
        ("lb/in2", "lbf/in2"),
        ("Nm/deg", "N m/deg"),
        ("kg/m3", "kg/m3"),
        ("l / min", "l/min"),
        ("Notches", "Notches"),
    ],
)
def test_each_spelling_of_a_unit_is_brought_to_one(typed: str, unit: str) -> None:
    assert spell(typed) == unit


def test_lbf_in_and_lbf_ft_stay_apart() -> None:
    assert spell("in lb") != spell("ft lb")


@pytest.mark.parametrize("text", ["", " ", "**", "kPa/", "m^99", "9", "__import__('os')", "m" * 41])
def test_text_without_the_form_of_a_unit_has_no_factors(text: str) -> None:
    assert split(text) is None


@pytest.mark.parametrize("text", ["mpa", "MPA", "MV", "psia", "gal", "GAL/min", "links", "grad"])
def test_spellings_that_mislead_are_named_with_the_reason(text: str) -> None:
    assert unsafe(text)


@pytest.mark.parametrize("text", ["MPa", "mPa", "mV", "psi", "l/min", "notches", ""])
def test_plain_spellings_are_not_called_unsafe(text: str) -> None:
    assert unsafe(text) is None


@given(st.text(max_size=60))
def test_one_spelling_is_spelled_the_same_again(text: str) -> None:
    parts = split(text)
    if parts is not None and len(render(parts)) <= 40:
        assert spell(spell(text)) == spell(text)
