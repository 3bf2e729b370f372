"""What a walk came to, as JSON and as text."""

import json

import pytest

from diagtree.report.walk import as_data, as_json, as_text
from diagtree.walk.result import result
from tests.walk.samples import NOISE, YES_NO, reply, start

KEYS = [
    "tree", "engine", "build", "features", "answers", "path", "outcome", "belief", "scope", "residual", "conflict",
]  # fmt: skip


def test_the_object_of_an_outcome() -> None:
    data = json.loads(as_json(result(reply(start(NOISE, "rattle"), "ok", "14 psi"))))
    assert list(data)[: len(KEYS)] == KEYS
    assert data["tree"] == "rattle"
    assert data["engine"] == "bench-v6"
    assert data["build"] is None
    assert data["answers"] == {"oil-level": "ok", "pressure": "low"}
    assert data["path"] == ["level", "gauge", "pump"]
    assert data["outcome"] == {"node": "pump", "faults": ["pump-worn"]}
    # NIST SP 811, B.8: 14 psi = 96.52660 kPa
    assert data["readings"] == {"pressure": {"value": pytest.approx(96.5266, abs=5e-6), "unit": "kPa"}}
    assert data["close_call"] == ["pressure"]
    assert [step["step"] for step in data["scope"]["steps"]] == ["cover-off", "renew-pump"]
    assert 0 < data["residual"] < 1
    assert sum(row["probability"] for row in data["belief"]) == pytest.approx(1)
    assert data["notice"].startswith("The maker's service data")


def test_the_object_before_an_outcome_has_no_scope() -> None:
    data = as_data(result(reply(start(NOISE, "rattle", chain="silent"), "?")))
    assert data["outcome"] is None
    assert data["scope"] is None
    assert data["residual"] is None
    assert data["build"] == "late"
    assert data["features"] == {"chain": "silent"}
    assert data["cannot_tell"] == ["oil-level"]
    assert data["conflict"] == 0


def test_the_trail_names_the_tree_of_each_node() -> None:
    data = as_data(result(reply(start(NOISE, "rattle"), "ok", "150", "P0016")))
    assert [(one["tree"], one["node"]) for one in data["trail"]][3:] == [
        ("rattle", "on"),
        ("inside", "level-again"),
        ("inside", "look"),
    ]
    assert data["codes"] == {"stored-codes": ["P0016"]}


def test_a_contradiction_is_named_and_has_no_number() -> None:
    sure = YES_NO.replace('"no": Dark}}', '"no": Dark}, given: {default: {"yes": 100, "no": 0}}, slip: 0}')
    found = result(reply(start(sure, "lamp"), "no"))
    data = json.loads(as_json(found))
    assert data["conflict"] is None
    assert data["belief"] == []
    assert data["contradiction"] == ["lit"]
    assert "These answers contradict one another. Take the doubtful ones again:\n  Is the lamp lit? Dark" in as_text(
        found
    )


def test_answers_that_fit_no_one_cause_are_said_so() -> None:
    session = reply(start(NOISE, "rattle"), "guide=broken", "ok", "150", "-")
    found = result(reply(session, "back", "P0016+P0018", "good", "free"))
    assert found.doubtful
    assert "The answers do not fit one cause." in as_text(found)
    assert "do not fit" not in as_text(result(reply(start(NOISE, "rattle"), "low")))


def test_text_of_a_library_without_engine() -> None:
    assert as_text(result(reply(start(YES_NO, "lamp"), "yes"))) == (
        "Outcome: Bulb\n"
        "  Age.\n"
        "\n"
        "What it may be, of cars like this (the author's estimate, no closed jobs):\n"
        "  about 50 in 100: Bulb\n"
        "  about 50 in 100: Fuse\n"
        "\n"
        "Afterwards: It is lit.\n"
        "\n"
        "The maker's service data, local rules and licensed practice decide over anything\n"
        "said here. Stop where you are not sure.\n"
    )


def test_no_line_is_wider_than_asked() -> None:
    text = as_text(result(reply(start(NOISE, "rattle"), "ok", "104", "P0016+P0018", "?", "whole")), 40)
    assert max(map(len, text.splitlines())) <= 40


def test_the_bill_stands_with_the_outcome() -> None:
    text = as_text(result(reply(start(NOISE, "rattle", chain="silent"), "low")))
    assert "The work below: 0.1 h, together 10.00 EUR before tax.\nAfter the work below" in text


def test_an_outcome_that_the_answers_do_not_speak_for_says_so_before_anything_is_opened() -> None:
    """The tree ends in 'pump worn' by default: the pressure was right, and the chain is by far likelier."""
    text = " ".join(as_text(result(reply(start(NOISE, "rattle"), "ok", "150", "-"))).split())
    assert "Outcome: Oil pump worn" in text
    assert (
        "The answers speak more for another cause than for this outcome: Inside the cover (a tree of its own)." in text
    )
    assert "First take the doubtful answers again, before anything is opened." in text


def test_what_could_not_be_told_is_asked_for_first() -> None:
    text = " ".join(as_text(result(reply(start(NOISE, "rattle"), "?", "150", "-"))).split())
    assert "First have an answer to what could not be told: Where does the oil stand on the dipstick?" in text


def test_an_outcome_that_the_answers_speak_for_is_not_doubted() -> None:
    assert "speak more for" not in as_text(result(reply(start(NOISE, "rattle"), "low")))
