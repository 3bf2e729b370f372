from pathlib import Path

from tests.rules.finding import find

TEXT = """\
faults:
  chain: {title: Chain, why: Wear., repair: [cover-off, renew-chain, renew-tensioner], verify: []}
---
engine: v8
title: V8
features: {kind: {title: Kind, values: [new, old]}}
builds: {late: {kind: new}, early: {kind: old}}
work:
  cover-off: {title: Cover off, hours: 2}
  renew-chain: {title: Chain, hours: 0.4, after: [cover-off]}
  renew-tensioner: {title: Tensioner, hours: 0.3, after: [cover-off]}
"""


def test_a_step_that_the_others_of_a_repair_bring(tmp_path: Path) -> None:
    assert find(tmp_path, "idle-repair", TEXT) == [
        (
            2,
            46,
            "The steps 'renew-chain' and 'renew-tensioner' bring 'cover-off' along in every build. Take it out.",
            "",
        ),
    ]


def test_of_two_steps_that_bring_each_other_one_stays(tmp_path: Path) -> None:
    text = TEXT.replace("[cover-off, renew-chain, renew-tensioner]", "[renew-chain, renew-tensioner]")
    text = text.replace("hours: 0.4, after: [cover-off]", "hours: 0.4, brings: {renew-tensioner: Worn.}")
    text = text.replace("hours: 0.3, after: [cover-off]", "hours: 0.3, brings: {renew-chain: Worn.}")
    assert find(tmp_path, "idle-repair", text) == [
        (2, 59, "The step 'renew-chain' brings 'renew-tensioner' along in every build. Take it out.", ""),
    ]


def test_a_step_that_some_build_needs_said_stays(tmp_path: Path) -> None:
    text = TEXT.replace("hours: 0.4, after: [cover-off]", "hours: 0.4, when: {kind: old}, after: [cover-off]")
    text = text.replace("hours: 0.3, after: [cover-off]", "hours: 0.3")
    assert find(tmp_path, "idle-repair", text) == []


def test_a_step_is_idle_only_in_builds_that_have_it(tmp_path: Path) -> None:
    text = TEXT.replace("hours: 2}", "hours: 2, when: {kind: old}}")
    text = text.replace("hours: 0.3, after: [cover-off]", "hours: 0.3")
    assert find(tmp_path, "idle-repair", text) == [
        (2, 46, "The step 'renew-chain' brings 'cover-off' along in every build. Take it out.", ""),
    ]


def test_steps_that_share_their_access_are_no_repair_too_many(tmp_path: Path) -> None:
    assert find(tmp_path, "idle-repair", TEXT.replace("cover-off, renew-chain, ", "renew-chain, ")) == []
