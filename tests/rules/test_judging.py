from pathlib import Path

import pytest

from diagtree.rules.judging import counts_from, knowledge, same_ends, sound_trees
from tests.rules.finding import library

TEXT = """\
checks:
  cap: {ask: Cap?, hours: 0.1, slip: 0, answers: {clean: Clean, sludge: Sludge}, given: {default: 80, chain: 20}}
  level: {ask: Level?, hours: 0.1, when: {kind: old}, never-after: {cap: [sludge]}, answers: {low: Low, ok: Right}}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
  chain: {title: Chain long, why: Wear., repair: [], verify: [], when: {kind: [new, old]}}
---
engine: v8
title: V8
features: {kind: {title: Kind, values: [new, old, odd]}}
builds: {early: {kind: old}, mid: {kind: new, share: 9}, late: {kind: new}, odd: {kind: odd}}
---
tree: rattle
title: Rattle
weights: {oil-low: 1, chain: 3}
start: a
nodes:
  a: {check: cap, then: {clean: b, sludge: c}, else: c}
  b: {check: level, then: {low: oil, ok: chain}, else: oil}
  c: {check: level, then: {low: oil, ok: worn}, else: oil}
  oil: {outcome: oil-low}
  chain: {outcome: chain}
  worn: {outcome: chain, note: Worn out.}
"""


def test_builds_with_the_same_causes_and_checks_are_one(tmp_path: Path) -> None:
    read = library(tmp_path, TEXT)
    known = knowledge(read, read.trees["rattle"])
    assert [tuple(build.id for _, build in one.made) for one in known.builds] == [("early",), ("mid", "late"), ("odd",)]
    assert [one.prior for one in known.builds] == [pytest.approx((0.25, 0.75))] * 2 + [pytest.approx((1.0, 0.0))]
    assert [one.applies for one in known.builds] == [{"cap", "level"}, {"cap"}, {"cap"}]
    assert list(known.builds[0].rows["cap"]) == [pytest.approx((0.8, 0.2)), pytest.approx((0.2, 0.8))]


OFFSETS = """\
checks:
  phase:
    ask: Offsets?
    hours: 0.1
    slip: 0
    offsets: {uncertainty: 2}
    answers: {none: None, one-bank: One bank, mixed: Mixed}
    given: {default: {none: 90, one-bank: 4, mixed: 6}, jumped: {none: 10, one-bank: 60, mixed: 30}}
---
faults:
  jumped: {title: Jumped, why: Wear., repair: [], verify: []}
  ring: {title: Ring slipped, why: Heat., repair: [], verify: []}
---
engine: inline
title: Inline
timing: {crank-teeth: 18, cam-teeth: 36, pitch: 8, cams: {in: {bank: 1, span: 300}, out: {bank: 1, span: 400}}}
---
engine: vee
title: Vee
timing: {crank-teeth: 18, cam-teeth: 36, pitch: 8, cams: {left: {bank: 1, span: 300}, right: {bank: 2, span: 400}}}
---
tree: codes
title: Codes
weights: {jumped: 2, ring: 8}
start: a
nodes:
  a: {check: phase, then: {none: ring, one-bank: ring, mixed: jumped}}
  ring: {outcome: ring}
  jumped: {outcome: jumped}
"""


def test_rows_are_those_of_the_engine(tmp_path: Path) -> None:
    """With one bank nobody sees `one-bank`; the others share the row: 90 / 96, 6 / 96 and 10 / 40, 30 / 40."""
    read = library(tmp_path, OFFSETS)
    inline, vee = knowledge(read, read.trees["codes"]).builds
    assert [build[0].id for build in (*inline.made, *vee.made)] == ["inline", "vee"]
    assert list(inline.rows["phase"]) == [pytest.approx(row) for row in ((0.25, 0.9375), (0.0, 0.0), (0.75, 0.0625))]
    assert list(vee.rows["phase"]) == [pytest.approx(row) for row in ((0.1, 0.9), (0.6, 0.04), (0.3, 0.06))]
    assert inline.unseen == {("phase", "one-bank")}
    assert vee.unseen == frozenset()


def test_nodes_are_the_same_where_the_same_questions_end_alike(tmp_path: Path) -> None:
    read = library(tmp_path, TEXT)
    same = same_ends(read.trees["rattle"])
    assert same["b"] == same["c"]
    assert same["chain"] == same["worn"]
    assert len({same[name] for name in ("a", "b", "oil", "chain")}) == 4


def test_an_answer_counts_where_its_check_is_asked_or_forbids(tmp_path: Path) -> None:
    read = library(tmp_path, TEXT)
    tree = read.trees["rattle"]
    assert counts_from(read, tree, "level", "a")
    assert counts_from(read, tree, "cap", "b")
    assert not counts_from(read, tree, "level", "oil")


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("start: a", "start: x"),
        ("check: cap,", "check: cup,"),
        ("{clean: b, sludge: c}", "{clean: b}"),
        ("{clean: b, sludge: c}", "{clean: b, sludge: a}"),
        ("{clean: b, sludge: c}", "{clean: b, sludge: x}"),
        ("oil: {outcome: oil-low}", "oil: {outcome: oil-lw}"),
        ("oil: {outcome: oil-low}", "oil: {continue: sludge}"),
        ("weights: {oil-low: 1", "weights: {oil-lw: 1"),
    ],
)
def test_a_tree_with_a_mistake_is_not_judged(tmp_path: Path, right: str, wrong: str) -> None:
    assert [tree.id for tree in sound_trees(library(tmp_path, TEXT))] == ["rattle"]
    assert TEXT.count(right) == 1
    assert list(sound_trees(library(tmp_path, TEXT.replace(right, wrong)))) == []
