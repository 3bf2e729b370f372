from pathlib import Path

from tests.rules.finding import find

TEXT = """\
checks:
  cap: {ask: Cap?, hours: 0.1, answers: {clean: Clean, sludge: Sludge}}
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
  chain: {title: Chain long, why: Wear., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 1, chain: 1}
start: a
nodes:
  a: {check: cap, then: {clean: b, sludge: c}, else: b}
  b: {check: level, then: {low: oil, ok: chain}, else: oil}
  c: {check: level, then: {low: oil, ok: more}, else: oil}
  oil: {outcome: oil-low}
  chain: {outcome: chain}
  more: {outcome: [chain, oil-low]}
"""
SAME = TEXT.replace("ok: more", "ok: chain").replace("  more: {outcome: [chain, oil-low]}\n", "")


def test_the_same_follows_whatever_a_check_shows(tmp_path: Path) -> None:
    message = "Whatever 'cap' shows here, the same follows. Lead its answers apart, or take it out."
    assert find(tmp_path, "idle-check", SAME) == [(14, 14, message, "")]
    straight = TEXT.replace("sludge: c", "sludge: b")
    assert find(tmp_path, "idle-check", straight) == [(14, 14, message, "")]


def test_nodes_that_ask_the_same_and_end_apart_are_not_the_same(tmp_path: Path) -> None:
    assert find(tmp_path, "idle-check", TEXT) == []
    assert (
        find(tmp_path, "idle-check", SAME.replace("clean: b, sludge: c}, else: b", "clean: b, sludge: c}, else: oil"))
        == []
    )


def test_outcomes_of_the_same_faults_are_the_same_end(tmp_path: Path) -> None:
    text = TEXT.replace("{low: oil, ok: more}", "{low: more, ok: again}") + "  again: {outcome: [oil-low, chain]}\n"
    assert [line for line, _, _, _ in find(tmp_path, "idle-check", text)] == []
    assert [line for line, _, _, _ in find(tmp_path, "idle-check", text.replace("again}, else: oil", "again}"))] == [16]


def test_an_answer_that_counts_further_on_is_not_idle(tmp_path: Path) -> None:
    asked_again = SAME.replace("ok: chain}, else: oil}\n  oil", "ok: d}, else: oil}\n  oil")
    asked_again = asked_again.replace(
        "b: {check: level, then: {low: oil, ok: chain}", "b: {check: level, then: {low: oil, ok: d}"
    )
    asked_again += "  d: {check: cap, then: {clean: oil, sludge: chain}}\n"
    assert find(tmp_path, "idle-check", asked_again) == []
    forbids = SAME.replace("{ask: Level?,", "{ask: Level?, never-after: {cap: [sludge]},")
    assert find(tmp_path, "idle-check", forbids) == []


def test_another_tree_may_use_the_answer(tmp_path: Path) -> None:
    text = """\
checks:
  cap: {ask: Cap?, hours: 0.1, answers: {clean: Clean, sludge: Sludge}}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {sludge: 1}
start: a
nodes:
  a: {check: cap, then: {clean: b, sludge: b}}
  b: {continue: sludge}
---
tree: sludge
title: Sludge
weights: {oil-low: 1}
start: a
nodes:
  a: {outcome: oil-low}
"""
    assert find(tmp_path, "idle-check", text) == []
