"""A question's words: the limits of a reading, and a reading said again."""

import pytest

from diagtree.model.check import Band
from diagtree.report.question import asked, figure, told
from diagtree.report.readings import limits
from tests.walk.samples import NOISE, reply, start

MOVED = NOISE.replace("title: Bench V6", "title: Bench V6\nlimits: {pressure: {low: {below: 80}, ok: {from: 80}}}")


def shown(text: str) -> list[str]:
    """The answers of the pressure check as the walk shows them."""
    found = asked(reply(start(text, "rattle"), "ok"))
    assert found is not None
    return [choice.text for choice in found.choices]


def test_a_reading_shows_its_limits_so_that_the_gauge_can_be_judged_at_the_car() -> None:
    assert shown(NOISE) == ["Below the limit (below 100 kPa)", "At or above the limit (100 kPa or more)"]


def test_the_limits_shown_are_those_of_the_engine() -> None:
    assert shown(MOVED) == ["Below the limit (below 80 kPa)", "At or above the limit (80 kPa or more)"]


@pytest.mark.parametrize(
    ("band", "unit", "said"),
    [
        (Band(8, 14), "mm", "8 to below 14 mm"),
        (Band(None, 20), "%", "below 20 %"),
        (Band(0.8, None), "", "0.8 or more"),
        (Band(None, None), "mm", ""),
    ],
)
def test_a_band_in_words(band: Band, unit: str, said: str) -> None:
    assert limits(band, unit) == said


def test_a_reading_in_another_unit_is_said_again_without_a_tail_of_digits() -> None:
    """NIST SP 811, B.8: 14 psi = 96.52660 kPa."""
    before = reply(start(NOISE, "rattle"), "ok")
    assert told(before, reply(before, "14 psi"))[0] == "97 kPa: Below the limit."  # the gauge is sure to 10 kPa
    assert (figure(95.0), figure(99.999), figure(123456.0)) == ("95", "99.999", "123456")


def test_the_note_of_a_way_on_is_said() -> None:
    """It may be the one warning that matters: 'do not start or crank the engine again'."""
    noted = NOISE.replace("on: {continue: inside}", "on: {continue: inside, note: Do not crank it again.}")
    before = reply(start(noted, "rattle"), "ok", "150")
    assert told(before, reply(before, "P0016"))[1] == (
        "On in another tree: Inside the cover. All answers are kept. Do not crank it again."
    )
