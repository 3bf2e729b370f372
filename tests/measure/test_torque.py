"""Tightening steps, in the book's unit and the shop's."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.measure.torque import TorqueStep, ends_in_angle, parse_step, show
from diagtree.measure.trouble import Trouble
from diagtree.measure.units import convert


def step(text: str) -> TorqueStep:
    """A step that must parse."""
    found = parse_step(text)
    assert isinstance(found, TorqueStep)
    return found


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("10 N m", TorqueStep(10.0, "N m", is_angle=False, decimals=0)),
        ("9,8Nm", TorqueStep(9.8, "N m", is_angle=False, decimals=1)),
        ("89 lbf in", TorqueStep(89.0, "lbf in", is_angle=False, decimals=0)),
        ("30 ft-lbs", TorqueStep(30.0, "lbf ft", is_angle=False, decimals=0)),
        ("2.5 kgf m", TorqueStep(2.5, "kgf m", is_angle=False, decimals=1)),
        ("180 deg", TorqueStep(180.0, "deg", is_angle=True, decimals=0)),
        ("-360°", TorqueStep(-360.0, "deg", is_angle=True, decimals=0)),
    ],
)
def test_steps_are_read_as_books_write_them(text: str, expected: TorqueStep) -> None:
    assert parse_step(text) == expected


@pytest.mark.parametrize(
    "text", ["", "10", "5 J", "2 psi", "-10 N m", "0 N m", "0 deg", "1e300 N m", "nan N m", "N m", "1,000 N m"]
)
def test_what_is_no_step_is_refused_with_how_to_write_it(text: str) -> None:
    found = parse_step(text)
    assert isinstance(found, Trouble)
    assert found.message.endswith("Write it as 10 N m, 30 lbf ft, 180 deg, or -360 deg to loosen.")


@pytest.mark.parametrize("text", ["0 N m", "-10 N m"])
def test_a_torque_above_nothing_is_asked_for(text: str) -> None:
    found = parse_step(text)
    assert isinstance(found, Trouble)
    assert found.message.startswith(f"'{text}': a torque is above 0.")


@pytest.mark.parametrize(
    ("text", "units", "shown"),
    [
        ("10 N m", ("N m", "kPa", "mm"), "10 N m"),
        ("10 N m", ("kPa", "Nm"), "10 N m"),
        ("10.0 N m", ("mm",), "10.0 N m"),
        ("89 lbf in", ("lbf ft", "lbf in"), "89 lbf in"),
        ("180 deg", ("N m",), "180 deg"),
        ("-360 deg", ("lbf ft",), "-360 deg"),
    ],
)
def test_the_book_s_unit_stands_alone_where_it_will_do(text: str, units: tuple[str, ...], shown: str) -> None:
    assert show(step(text), units) == shown


@pytest.mark.parametrize(
    ("text", "unit", "shown"),
    [
        ("25 N m", "kgf m", "2.5 kgf m (25 N m)"),  # one digit fewer would be a fifth too much
        ("89.0 lbf in", "N m", "10.06 N m (89.0 lbf in)"),
        ("1 lbf in", "N m", "0.1 N m (1 lbf in)"),
        ("36 lbf in", "lbf ft", "3 lbf ft (36 lbf in)"),
        ("3 lbf ft", "lbf in", "36 lbf in (3 lbf ft)"),
    ],
)
def test_a_figure_is_as_precise_as_the_book_s(text: str, unit: str, shown: str) -> None:
    assert show(step(text), [unit]) == shown


@given(
    st.integers(1, 99_999),
    st.integers(0, 2),
    st.sampled_from(["N m", "lbf ft", "lbf in", "kgf m"]),
    st.sampled_from(["N m", "lbf ft", "lbf in", "kgf m"]),
)
def test_the_book_s_figure_can_be_had_from_the_shown_one_and_not_from_one_digit_less(
    digits: int, decimals: int, book: str, shop: str
) -> None:
    text = f"{digits / 10**decimals:.{decimals}f}"
    shown = show(step(f"{text} {book}"), [shop]).split(" ")[0]
    half = 0.5 / 10**decimals * (1 + 1e-9)
    assert _off(shown, shop, text, book) <= half
    if shop != book and "." in shown:
        behind = len(shown.partition(".")[2])
        shorter = f"{round(float(shown), behind - 1):.{behind - 1}f}"
        assert _off(shorter, shop, text, book) > half * (1 - 1e-6) or _twice_rounded(shown)


def _off(shown: str, shop: str, text: str, book: str) -> float:
    back = convert(float(shown), shop, book)
    assert isinstance(back, float)
    return abs(back - float(text))


def _twice_rounded(shown: str) -> bool:
    # 2.45 to 2.5 to 3: rounding the rounded figure is not rounding the value.
    return shown.endswith("5")


def test_a_sequence_that_ends_in_an_angle_is_told() -> None:
    sequence = [step(text) for text in ("40 N m", "-360 deg", "25 N m", "180 deg")]
    assert ends_in_angle(sequence)
    assert not ends_in_angle(sequence[:3])
    assert not ends_in_angle([])


@given(st.text() | st.from_regex(r"-?[0-9.,]{1,8} ?.{0,8}"))
def test_no_text_raises(text: str) -> None:
    found = parse_step(text)
    if isinstance(found, Trouble):
        assert found.message.isprintable()
    else:
        assert show(found, ["lbf ft"]).isprintable()
