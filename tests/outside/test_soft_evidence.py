"""Evidence that is no plain answer, weighed over the answers as a reading is over its bands.

Pearl, Probabilistic Reasoning in Intelligent Systems (1988), virtual evidence; Jeffrey's cloth (1965), both rules in
Chan and Darwiche, AAAI spring symposium SS-03-05 (2003). Numbers from memory, recomputed by independent code.
"""

import pytest

from tests.reason.textbook import chances, check

pytestmark = pytest.mark.outside


def test_an_alarm_that_was_probably_heard() -> None:
    """Pearl: prior 1e-4, alarm .95 and .01, likelihoods 4 : 1 for 'heard'."""
    rows = {"burglary": (95, 5), "none": (1, 99)}
    found = chances({"burglary": 1e-4, "none": 1 - 1e-4}, [check("alarm", rows)], {"alarm": (0.8, 0.2)})
    assert found["burglary"] == pytest.approx(3.736841e-4, abs=5e-10)


def test_a_cloth_seen_by_candle_light() -> None:
    """Green, blue or violet: the shares multiply the prior; they do not replace it as in Jeffrey's rule."""
    rows = {"green": (100, 0, 0), "blue": (0, 100, 0), "violet": (0, 0, 100)}
    found = chances({"green": 0.3, "blue": 0.3, "violet": 0.4}, [check("look", rows)], {"look": (0.7, 0.25, 0.05)})
    assert list(found.values()) == pytest.approx([0.688525, 0.245902, 0.065574], abs=5e-7)
    assert found["green"] != pytest.approx(0.7, abs=1e-3)
