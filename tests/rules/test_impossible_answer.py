from pathlib import Path

import pytest

from diagtree.rules import impossible_answer
from tests.rules.finding import find
from tests.rules.test_judging import OFFSETS

TEXT = """\
checks:
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
  colour: {ask: Colour?, hours: 0.1, slip: 0, answers: {grey: Grey, clear: Clear}, given: {default: 0, oil: 60}}
---
faults:
  oil: {title: Oil low, why: Leaks., repair: [], verify: []}
  chain: {title: Chain long, why: Wear., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil: 1, chain: 1}
other: 0
start: a
nodes:
  a: {check: level, then: {low: oil, ok: b}}
  b: {check: colour, then: {grey: oil, clear: chain}, else: chain}
  oil: {outcome: oil}
  chain: {outcome: chain}
"""


def test_every_cause_that_is_left_rules_an_answer_out(tmp_path: Path) -> None:
    text = TEXT.replace(", oil: 60}", "}")
    assert find(tmp_path, "impossible-answer", text) == [
        (
            16,
            29,
            (
                "This answer cannot happen here: every cause that is left rules it out. Mend `given` or `slip`, or ask "
                "something else."
            ),
            "",
        ),
    ]


def test_an_earlier_answer_has_left_only_causes_that_rule_it_out(tmp_path: Path) -> None:
    text = TEXT.replace(
        "  colour:",
        "  smell: {ask: Smell?, hours: 0.1, slip: 0, answers: {y: Yes, n: No},"
        " given: {default: 0, chain: 100}}\n  colour:",
    )
    text = text.replace("ok: b}}", "ok: s}}\n  s: {check: smell, then: {y: b, n: oil}}")
    assert [(line, column) for line, column, _, _ in find(tmp_path, "impossible-answer", text)] == [(18, 29)]


def test_a_slip_or_a_cause_that_can_show_it_keeps_an_answer_open(tmp_path: Path) -> None:
    assert find(tmp_path, "impossible-answer", TEXT) == []
    assert find(tmp_path, "impossible-answer", TEXT.replace(" slip: 0,", "").replace(", oil: 60}", "}")) == []


def test_a_check_was_answered_before_and_always_alike(tmp_path: Path) -> None:
    text = TEXT.replace("{check: colour, then: {grey: oil, clear: chain}", "{check: level, then: {low: oil, ok: chain}")
    assert find(tmp_path, "impossible-answer", text) == [
        (
            16,
            14,
            "'level' was answered before, and is 'ok' on every way here, never 'low'. Lead straight to 'chain'.",
            "",
        ),
    ]


def test_a_node_may_sort_by_an_answer_given_before(tmp_path: Path) -> None:
    text = TEXT.replace("{low: oil, ok: b}", "{low: b, ok: b}").replace(
        "clear: chain}, else: chain}", "clear: c}, else: chain}\n  c: {check: level, then: {low: oil, ok: chain}}"
    )
    assert find(tmp_path, "impossible-answer", text) == []


BUILDS = """\
---
engine: v8
title: V8
features: {kind: {title: Kind, values: [new, old]}}
builds: {late: {kind: new}, early: {kind: old}}
---
tree:"""


def test_no_build_that_gets_there_has_the_check(tmp_path: Path) -> None:
    """`level` is of the old build, and `colour` of the new one, which is asked only after `level`."""
    text = TEXT.replace("---\ntree:", BUILDS)
    text = text.replace("{ask: Level?,", "{ask: Level?, when: {kind: old},").replace("ok: b}}", "ok: b}, else: oil}")
    text = text.replace("{ask: Colour?,", "{ask: Colour?, when: {kind: new},")
    text = text.replace("weights", "engines: [v8]\nweights")
    found = find(tmp_path, "impossible-answer", text)
    assert found == [
        (22, 14, "No build that gets here has the check 'colour'. Lead straight to 'chain'.", ""),
    ]


def test_a_check_that_one_of_two_builds_has_is_open(tmp_path: Path) -> None:
    text = TEXT.replace("---\ntree:", BUILDS).replace("{ask: Colour?,", "{ask: Colour?, when: {kind: new},")
    assert find(tmp_path, "impossible-answer", text) == []


def test_a_forbidden_path_is_left_to_its_own_rule(tmp_path: Path) -> None:
    text = TEXT.replace("{ask: Colour?,", "{ask: Colour?, never-after: {level: [ok]},").replace(", oil: 60}", "}")
    assert find(tmp_path, "impossible-answer", text) == []


def test_a_tree_of_too_many_states_is_not_judged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(impossible_answer, "MOST_STATES", 2)
    assert find(tmp_path, "impossible-answer", TEXT.replace(", oil: 60}", "}")) == []


def test_what_an_engine_cannot_show_is_no_fault_of_the_tree(tmp_path: Path) -> None:
    """The check is shared with engines that can show it, and a tree must say where each answer leads."""
    text = OFFSETS.replace("right: {bank: 2", "right: {bank: 1")
    assert find(tmp_path, "impossible-answer", text) == []
    dead = text.replace("{none: 90, one-bank: 4, mixed: 6}", "{none: 94, one-bank: 6, mixed: 0}")
    dead = dead.replace("{none: 10, one-bank: 60, mixed: 30}", "{none: 40, one-bank: 60, mixed: 0}")
    assert [found[0] for found in find(tmp_path, "impossible-answer", dead)] == [27]
