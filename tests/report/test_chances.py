"""Chances as counts of one hundred."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.model.library import Library
from diagtree.report.chances import as_data, as_lines, in_hundred, title
from tests.walk.samples import NOISE, library


@pytest.mark.parametrize(
    ("probability", "said"),
    [
        (0.0, "fewer than 5 in 100"),
        (0.0499, "fewer than 5 in 100"),
        (0.05, "about 5 in 100"),
        (0.074, "about 5 in 100"),
        (0.075, "about 10 in 100"),
        (0.4, "about 40 in 100"),
        (0.1 + 0.2 + 0.025, "about 35 in 100"),  # 0.325 but for the last bit
        (0.95, "about 95 in 100"),
        (0.951, "more than 95 in 100"),
        (1.0, "more than 95 in 100"),
    ],
)
def test_a_chance_is_said_to_the_nearest_five(probability: float, said: str) -> None:
    assert in_hundred(probability) == said


@given(st.floats(0, 1))
def test_no_chance_is_said_to_be_none_or_all(probability: float) -> None:
    said = in_hundred(probability).split()
    assert {"0", "100"}.isdisjoint(said[:-1])


def test_json_has_the_likeliest_first_and_ties_in_the_order_of_the_tree() -> None:
    assert as_data({"a": 0.25, "b": 0.5, "c": 0.25}) == [
        {"fault": "b", "probability": 0.5},
        {"fault": "a", "probability": 0.25},
        {"fault": "c", "probability": 0.25},
    ]


def test_rare_causes_are_counted_not_listed() -> None:
    assert as_lines(Library(), {"a": 0.96, "b": 0.02, "c": 0.02}) == [
        "more than 95 in 100: a",
        "fewer than 5 in 100 each: 2 more causes",
    ]


def test_a_cause_is_said_in_words() -> None:
    made = library(NOISE)
    assert title(made, "oil-low") == "Oil level low"
    assert title(made, "inside") == "Inside the cover (a tree of its own)"
    assert title(made, "other") == "a cause that is not in this tree"
