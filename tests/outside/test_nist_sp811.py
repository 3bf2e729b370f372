"""NIST Special Publication 811 (2008), appendix B.8: factors to SI units, printed to seven figures."""

from decimal import Decimal

import pytest

from diagtree.measure.units import UnitTrouble, convert

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("unit", "to", "printed"),
    [
        ("psi", "Pa", "6.894757E+3"),
        ("kgf/cm2", "Pa", "9.80665E+4"),
        ("bar", "Pa", "1E+5"),
        ("inHg", "Pa", "3.386389E+3"),
        ("torr", "Pa", "1.333224E+2"),
        ("lbf ft", "N m", "1.355818"),
        ("lbf in", "N m", "1.129848E-1"),
        ("kgf m", "N m", "9.80665"),
    ],
)
def test_one_of_each_unit_is_the_printed_number_of_si_units(unit: str, to: str, printed: str) -> None:
    """Tolerance: half a unit of the last printed figure; factors in bold there are exact and have fewer figures."""
    figures = Decimal(printed)
    exact = printed in {"9.80665E+4", "1E+5", "9.80665"}
    last_place = 0.0 if exact else float(Decimal(1).scaleb(figures.adjusted() - 6))
    assert convert(1.0, unit, to) == pytest.approx(float(figures), rel=1e-15, abs=last_place / 2)


def test_fourteen_psi_in_kilopascals() -> None:
    """14 times the factor 6.894757, to its seven figures: 96.52660."""
    assert convert(14.0, "psi", "kPa") == pytest.approx(96.52660, abs=14 * 0.5e-6)


@pytest.mark.parametrize(
    ("typed", "plain"),
    [("Nm", "N m"), ("lb*ft", "lbf ft"), ("PSI", "psi"), ("Bar", "bar"), ("KPA", "kPa"), ("psig", "psi")],
)
def test_spellings_of_the_trade_are_the_units_they_stand_for(typed: str, plain: str) -> None:
    """The units library itself reads the first as one over a metre, the second as no torque, and knows none else."""
    to = "N m" if plain in {"N m", "lbf ft"} else "kPa"
    assert convert(1.0, typed, to) == convert(1.0, plain, to)


@pytest.mark.parametrize(("torque", "energy"), [("N m", "J"), ("lbf ft", "kJ"), ("lbf in", "J")])
def test_a_torque_is_no_energy(torque: str, energy: str) -> None:
    """Both have the dimension of force times length: SP 811, clause 5.1.3 (from memory), keeps them apart by unit."""
    assert isinstance(convert(1.0, torque, energy), UnitTrouble)
    assert isinstance(convert(1.0, energy, torque), UnitTrouble)


def test_pound_force_inches_and_feet_are_twelve_apart() -> None:
    """0.1129848 against 1.355818 N m."""
    assert convert(12.0, "lbf in", "lbf ft") == 1.0
