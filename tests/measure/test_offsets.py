"""Camshaft offsets as typed."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.measure.offsets import as_text, parse_measured, parse_offsets
from diagtree.measure.trouble import Trouble

CAMS = ("intake-1", "exhaust-1")


@pytest.mark.parametrize(
    "text",
    [
        "intake-1:-4,exhaust-1:-3.5",
        "exhaust-1:-3.5, intake-1:-4",
        "Intake-1 = \N{MINUS SIGN}4 deg; EXHAUST-1 = -3.5°",
    ],
)
def test_offsets_come_in_the_order_of_the_engine(text: str) -> None:
    assert parse_offsets(text, CAMS) == (("intake-1", -4.0), ("exhaust-1", -3.5))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "No offset for intake-1, exhaust-1. Type all of them, such as intake-1:-4,exhaust-1:-4."),
        ("intake-1:-4", "No offset for exhaust-1. Type all of them, such as intake-1:-4,exhaust-1:-4."),
        ("intake-1:-4,intake-1:-3", "'intake-1' stands twice. Type one offset for each camshaft."),
        ("intake-3:-4", "'intake-3' is no camshaft of this engine: it has intake-1, exhaust-1."),
        ("intake-1:nan", "'intake-1': 'nan' does not start with a number. Type it as intake-1:-4."),
        ("intake-1:-4,5", "'5' is no offset. Type intake-1:-4,exhaust-1:-4, with decimal points."),
        ("intake-1:4 mm", "'mm' is no angle. Type the offset in crank degrees."),
        ("intake-1:1e3", "'intake-1:1e3' is more than a turn. Type crank degrees from -360 to 360."),
    ],
)
def test_what_cannot_be_used_is_named(text: str, message: str) -> None:
    assert parse_offsets(text, CAMS) == Trouble(message)


def test_an_engine_with_many_camshafts_gets_a_short_sentence() -> None:
    found = parse_offsets("x:1", [f"cam-{number}" for number in range(100)])
    assert isinstance(found, Trouble)
    assert found.message.endswith("it has cam-0, cam-1, cam-2, cam-3 and 96 more.")


@given(st.tuples(st.floats(-360, 360), st.floats(-360, 360)))
def test_written_offsets_are_read_back(degrees: tuple[float, float]) -> None:
    text = ",".join(f"{cam}:{number!r}" for cam, number in zip(CAMS, degrees, strict=True))
    assert parse_offsets(text, CAMS) == tuple(zip(CAMS, degrees, strict=True))


@given(st.text() | st.from_regex(r"(intake-1|exhaust-1)[:=].{0,10}(,exhaust-1:.{0,10})?"))
def test_any_text_gives_finite_offsets_or_a_printable_sentence(text: str) -> None:
    found = parse_offsets(text, CAMS)
    if isinstance(found, Trouble):
        assert found.message.isprintable()
    else:
        assert all(math.isfinite(degrees) for _, degrees in found)


def test_a_pasted_megabyte_gets_a_short_sentence() -> None:
    found = parse_offsets("intake-1:" + "9" * 1_000_000, CAMS)
    assert isinstance(found, Trouble)
    assert len(found.message) < 150


@pytest.mark.parametrize("sign", ["+-", "+/-", "\N{PLUS-MINUS SIGN}", " +- "])
def test_offsets_may_carry_their_uncertainty(sign: str) -> None:
    assert parse_measured(f"a:-4,b:-3{sign}2.5 deg", ("a", "b")) == ((("a", -4.0), ("b", -3.0)), 2.5)
    assert parse_measured("a:-4,b:-3", ("a", "b")) == ((("a", -4.0), ("b", -3.0)), None)


@pytest.mark.parametrize("text", ["a:-4 +-0", "a:-4 +-x", "a:-4 +-2 mm", "a:+-4", "+-4"])
def test_an_uncertainty_that_cannot_be_is_refused(text: str) -> None:
    assert isinstance(parse_measured(text, ("a",)), Trouble)


@given(st.floats(-360, 360), st.floats(-360, 360), st.none() | st.floats(1e-6, 360))
def test_offsets_as_text_read_as_the_same(one: float, two: float, within: float | None) -> None:
    offsets = (("a", one + 0.0), ("b", two + 0.0))
    assert parse_measured(as_text(offsets, within), ("a", "b")) == (offsets, within)
