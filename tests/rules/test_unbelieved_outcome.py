from pathlib import Path

import pytest

from diagtree.rules import unbelieved_outcome
from tests.rules.finding import find
from tests.rules.test_judging import OFFSETS

TEXT = """\
checks:
  level: {ask: Level?, hours: 0.1, slip: 0, answers: {low: Low, ok: Right}, given: {default: 10, oil-low: 90}}
  sound: {ask: Sound?, hours: 0.1, slip: 0, answers: {knock: Knock, hiss: Hiss}, given: {default: 50, chain: 80}}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
  chain: {title: Chain long, why: Wear., repair: [], verify: []}
  pump: {title: Pump worn, why: Wear., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 40, chain: 30, pump: 25}
other: 5
start: a
nodes:
  a: {check: level, then: {low: top-up, ok: b}, else: b}
  b: {check: sound, then: {knock: chain, hiss: pump}, else: pump}
  top-up: {outcome: oil-low}
  chain: {outcome: chain}
  pump: {outcome: pump}
"""


def test_answers_that_lead_to_the_wrong_ends(tmp_path: Path) -> None:
    """P(oil-low | ok) = 4 / 56, P(chain | ok) = 27 / 56, P(pump | ok) = 22.5 / 56."""
    text = TEXT.replace("{low: top-up, ok: b}", "{low: b, ok: top-up}")
    assert find(tmp_path, "unbelieved-outcome", text) == [
        (
            18,
            21,
            (
                "After level=ok the tables believe 'chain' (about 50 in 100) and not the outcome 'top-up' "
                "(about 5 in 100). Lead these answers elsewhere, or mend the weights and `given`."
            ),
            "",
        ),
        (
            19,
            20,
            (
                "After level=low, sound=knock the tables believe 'oil-low' (about 80 in 100) and not the outcome "
                "'chain' (about 10 in 100). Lead these answers elsewhere, or mend the weights and `given`."
            ),
            "",
        ),
        (
            20,
            19,
            (
                "After level=low, sound=? the tables believe 'oil-low' (about 80 in 100) and not the outcome 'pump' "
                "(about 5 in 100). Lead these answers elsewhere, or mend the weights and `given`."
            ),
            "",
        ),
    ]


def test_an_outcome_of_several_faults_is_believed_with_all_of_them(tmp_path: Path) -> None:
    """After no answer to `level` and a hiss oil-low is likeliest by itself: 20 against 12.5 of pump and 6 of chain."""
    text = TEXT.replace("pump: {outcome: pump}", "pump: {outcome: [pump, chain]}")
    assert find(tmp_path, "unbelieved-outcome", text) == []


def test_outcomes_that_are_at_least_half_as_likely_as_another_cause_pass(tmp_path: Path) -> None:
    assert find(tmp_path, "unbelieved-outcome", TEXT) == []


def test_only_the_builds_that_disagree_are_named(tmp_path: Path) -> None:
    text = TEXT.replace("chain: 30,", "chain: {kind: {new: 30, old: 500}},").replace(
        "---\ntree:",
        "---\nengine: v8\ntitle: V8\nfeatures: {kind: {title: Kind, values: [new, old]}}\n"
        "builds: {late: {kind: new}, early: {kind: old}}\n---\ntree:",
    )
    found = [message for _, _, message, _ in find(tmp_path, "unbelieved-outcome", text)]
    assert all("build 'early' of 'v8'" in message and "late" not in message for message in found)


def test_a_cause_that_is_not_in_the_tree_is_no_other_end(tmp_path: Path) -> None:
    assert find(tmp_path, "unbelieved-outcome", TEXT.replace("other: 5", "other: 500")) == []


@pytest.mark.parametrize(("hiss", "found"), [(98.5, True), (99.95, False)])
def test_paths_that_one_car_in_a_thousand_takes_count_and_rarer_ones_do_not(
    tmp_path: Path, hiss: float, found: bool
) -> None:
    text = TEXT.replace("{default: 50, chain: 80}", f"{{default: {100 - hiss:g}, oil-low: 90}}")
    text = text.replace("weights: {oil-low: 40, chain: 30, pump: 25}", "weights: {oil-low: 0, chain: 3, pump: 92}")
    text = text.replace("other: 5", "other: 0")
    told = [line for line, _, _, _ in find(tmp_path, "unbelieved-outcome", text)]
    assert (19 in told) is found


def test_a_tree_of_too_many_steps_is_not_judged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unbelieved_outcome, "_MOST_STEPS", 3)
    text = TEXT.replace("{low: top-up, ok: b}", "{low: b, ok: top-up}")
    assert find(tmp_path, "unbelieved-outcome", text) == []


def test_an_answer_given_before_leads_on(tmp_path: Path) -> None:
    text = TEXT.replace("ok: b}, else: b}", "ok: b}}").replace(
        "hiss: pump}, else: pump}", "hiss: c}}\n  c: {check: level, then: {low: top-up, ok: pump}}"
    )
    assert find(tmp_path, "unbelieved-outcome", text) == []


def test_a_check_that_a_build_has_not_leads_to_else(tmp_path: Path) -> None:
    """The only build lacks `level`: without it, oil-low is likelier than the rest after a knock."""
    text = TEXT.replace("{ask: Level?,", "{ask: Level?, when: {kind: old},").replace("hiss: pump}", "hiss: top-up}")
    text = text.replace("pump: 25}", "pump: 1}").replace("oil-low: 40, chain: 30", "oil-low: 40, chain: 9")
    assert [message for line, _, message, _ in find(tmp_path, "unbelieved-outcome", text) if line == 19] == [
        (
            "After sound=knock the tables believe 'oil-low' (about 65 in 100) and not the outcome 'chain' "
            "(about 25 in 100). Lead these answers elsewhere, or mend the weights and `given`."
        )
    ]


def test_a_tree_with_errors_is_not_judged(tmp_path: Path) -> None:
    text = TEXT.replace("{low: top-up, ok: b}", "{low: b, ok: top-op}")
    assert find(tmp_path, "unbelieved-outcome", text) == []


def test_an_answer_that_an_engine_cannot_show_is_on_none_of_its_paths(tmp_path: Path) -> None:
    """After `one-bank` the vee's cars have jumped (12 against 3.2 in 100); the inline engine has one bank."""
    (found,) = find(tmp_path, "unbelieved-outcome", OFFSETS)
    assert found[2].startswith("After phase=one-bank in engine 'vee' the tables believe 'jumped' (about 80 in 100)")
    alone = OFFSETS.replace("right: {bank: 2", "right: {bank: 1")
    assert find(tmp_path, "unbelieved-outcome", alone) == []
