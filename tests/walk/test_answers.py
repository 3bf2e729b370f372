"""What somebody typed for a check."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.model.check import Answer, Band, Check, Gauge
from diagtree.model.engine import ONLY_ENGINE
from diagtree.model.quantity import NO_HOURS
from diagtree.reason.finding import Finding
from diagtree.walk.answers import Refused, read_finding, too_close

BANDS = (Answer("low", "Low", Band(None, 100)), Answer("ok", "Ok", Band(100, None)))
PRESSURE = Check("p", "?", BANDS, NO_HOURS, kind="reading", gauge=Gauge("kPa", 10), plausible=Band(0, 1000))
CODES = Check(
    "c", "?", (Answer("both", "", groups=(("P0016",), ("P0018", "P0019"))), Answer("one", "", groups=(("P0016",),))),
    NO_HOURS, kind="codes",
)  # fmt: skip
CHOICE = Check("l", "?", (Answer("low", ""), Answer("ok", "")), NO_HOURS)


def taken(check: Check, text: str) -> Finding:
    """The finding of a text that must be taken."""
    found = read_finding(check, ONLY_ENGINE, text)
    assert isinstance(found, Finding), found.sentence
    return found


def refused(check: Check, text: str) -> str:
    """The sentence of a text that must be refused."""
    found = read_finding(check, ONLY_ENGINE, text)
    assert isinstance(found, Refused)
    return found.sentence


def test_a_plain_answer_has_all_the_weight() -> None:
    assert taken(CHOICE, " OK ").shares == (0.0, 1.0)
    assert taken(CHOICE, "1").answer == "low"


@pytest.mark.parametrize("text", ["0", "3", "-1", "1.0", "99999999999", "٢"])
def test_a_number_that_is_not_on_the_screen_is_refused(text: str) -> None:
    assert "Give a number from 1 to 2, or one of: low, ok." in refused(CHOICE, text)


@pytest.mark.parametrize("text", ["intake-1:-4,exhaust-1:-3", "intake-1=-4", "9"])
def test_offsets_without_the_engine_s_timing_are_refused_with_what_to_say_instead(text: str) -> None:
    pattern = Check("o", "?", (Answer("none", ""), Answer("mixed", "")), NO_HOURS, kind="offsets")
    assert read_finding(pattern, ONLY_ENGINE, text) == Refused(
        "The engine's `timing` is not written, so offsets cannot be weighed: say which pattern they make. "
        "Give a number from 1 to 2, or one of: none, mixed."
    )


def test_a_number_for_a_reading_is_the_reading() -> None:
    assert taken(PRESSURE, "1").values == (1.0,)


def test_a_reading_may_be_answered_by_the_name_of_its_band() -> None:
    assert taken(PRESSURE, "low") == Finding("p", "low", (1.0, 0.0))


def test_a_reading_weighs_every_band() -> None:
    found = taken(PRESSURE, "104")
    assert found.answer == "ok"
    assert found.clearest == pytest.approx(0.7881446, abs=5e-8)  # N(104, 5^2) above 100
    assert too_close(found)


def test_a_reading_that_cannot_be_is_asked_again() -> None:
    assert refused(PRESSURE, "5000") == (
        "5000 is not plausible here (it should be from 0 to 1000 kPa). Read the gauge again."
    )


def test_the_first_answer_whose_groups_are_all_stored_is_taken() -> None:
    assert taken(CODES, "p0016, P0019").answer == "both"
    assert taken(CODES, "P0016+P0021").answer == "one"
    assert refused(CODES, "-") == "No answer of this check fits these codes. Give one of: both, one."


@given(st.text(max_size=60), st.sampled_from([PRESSURE, CODES, CHOICE]))
def test_any_text_is_a_finding_or_a_sentence(text: str, check: Check) -> None:
    found = read_finding(check, ONLY_ENGINE, text)
    if isinstance(found, Finding):
        assert check.answer(found.answer)
        assert sum(found.shares) == pytest.approx(1)
    else:
        assert found.sentence.endswith(".")
        assert found.sentence.isprintable()
