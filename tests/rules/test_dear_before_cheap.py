import re
from pathlib import Path

import pytest

from diagtree.graph.serving import builds
from diagtree.reason.case import case
from diagtree.reason.standing import start
from diagtree.reason.walking import walk_cost
from diagtree.rules import dear_before_cheap
from tests.rules.finding import find, library

HEAD = """\
shop: a
name: A
currency: EUR
labour-rate: 100
tax: 20
goodwill: 0
---
checks:
  view: {ask: Sump?, hours: 3, answers: {clear: Clear, sludge: Sludge}, given: {default: 90, sludge: 10}}
  gauge: {ask: Pressure?, hours: 0.3, answers: {low: Low, ok: Right}, given: {default: 5, sludge: 90, pump: 90}}
---
faults:
  sludge: {title: Sludge, why: A., repair: [clean], verify: []}
  pump: {title: Pump, why: A., repair: [pump], verify: []}
  chain: {title: Chain, why: A., repair: [chain], verify: []}
---
engine: v8
title: V8
features: {kind: {title: Kind, values: [new, old]}}
builds: {late: {kind: new}, early: {kind: old}}
work:
  clean: {title: Clean, hours: 3}
  pump: {title: Pump, hours: 4}
  chain: {title: Chain, hours: 8, when: {}}
---
tree: rattle
title: Rattle
weights: {sludge: 10, pump: 20, chain: 70}
other: 5
start: view
nodes:
"""
ENDS = """\
  sludge: {outcome: sludge}
  pump: {outcome: pump}
  chain: {outcome: chain}
"""
WRONG = (
    HEAD
    + """\
  view: {check: view, then: {clear: after-clear, sludge: after-sludge}, else: after-clear}
  after-clear: {check: gauge, then: {low: pump, ok: chain}}
  after-sludge: {check: gauge, then: {low: sludge, ok: chain}}
"""
    + ENDS
)
RIGHT = (
    HEAD.replace("start: view", "start: gauge")
    + """\
  gauge: {check: gauge, then: {low: view, ok: chain}}
  view: {check: view, then: {clear: pump, sludge: sludge}, else: pump}
"""
    + ENDS
)


def costs(folder: Path, text: str) -> list[float]:
    """What walking the tree costs in each build."""
    read = library(folder, text)
    (engine,) = read.engines.values()
    return [walk_cost(start(case(read, read.trees["rattle"], engine, build))) for build in builds(engine)]


def test_a_dear_check_that_the_cheap_one_would_often_spare(tmp_path: Path) -> None:
    assert find(tmp_path, "dear-before-cheap", WRONG) == [
        (
            32,
            17,
            (
                "Ask 'gauge' before 'view', which costs more and is not needed after 'ok': the mean cost of this "
                "tree falls by 20 % or more."
            ),
            "",
        ),
    ]


def test_the_share_is_what_the_other_order_saves(tmp_path: Path) -> None:
    (_, _, message, _) = find(tmp_path, "dear-before-cheap", WRONG)[0]
    told = re.search(r"falls by (\d+) %", message)
    saved = [1 - new / old for old, new in zip(costs(tmp_path, WRONG), costs(tmp_path, RIGHT), strict=True)]
    assert told
    assert float(told[1]) == pytest.approx(100 * min(saved), abs=0.5)


def test_the_cheap_check_first_passes(tmp_path: Path) -> None:
    assert find(tmp_path, "dear-before-cheap", RIGHT) == []


def test_one_check_that_settles_it_may_be_asked_last_where_the_first_can_too(tmp_path: Path) -> None:
    """Sludge ends at once, and so does low pressure: asked first, the gauge spares the view of the sump."""
    text = (
        HEAD
        + """\
  view: {check: view, then: {clear: gauge, sludge: pump}}
  gauge: {check: gauge, then: {low: pump, ok: chain}}
"""
        + ENDS.replace("  sludge: {outcome: sludge}\n", "").replace("outcome: pump", "outcome: [pump, sludge]")
    )
    assert [line for line, _, _, _ in find(tmp_path, "dear-before-cheap", text)] == [32]
    # An answer further up might forbid the gauge on the way on which it was not asked.
    guarded = text.replace("hours: 0.3,", "hours: 0.3, never-after: {third: [y]},").replace(
        "---\nfaults:", "  third: {ask: Third?, hours: 1, answers: {y: Yes, n: No}}\n---\nfaults:"
    )
    assert find(tmp_path, "dear-before-cheap", guarded) == []


CHANGES = {
    "the price is not clearly lower": ("hours: 0.3,", "hours: 2.5,"),
    "the saving is small": ("hours: 8,", "hours: [800, 900, 1000],"),
    "the dear one decides whether the cheap one is safe": ("hours: 0.3,", "hours: 0.3, never-after: {view: [sludge]},"),
    "the cheap one forbids the dear one": ("hours: 3, answers", "hours: 3, never-after: {gauge: [ok]}, answers"),
    "the cheap one waits longer": ("hours: 0.3,", "hours: 0.3, wait: 8,"),
    "the cheap one needs another temperature": ("hours: 0.3,", "hours: 0.3, needs: hot,"),
    "the dear one tells the ends apart": ("{low: sludge, ok: chain}", "{low: sludge, ok: sludge}"),
    "the cheap one can be reached otherwise": (
        "{low: sludge, ok: chain}",
        "{low: again, ok: chain}}\n  again: {check: third, then: {y: after-clear, n: sludge}",
    ),
    "the dear one is not needed at all": ("{low: sludge, ok: chain}", "{low: pump, ok: chain}"),
    "the dear one counts later": (
        "ok: chain}}\n  after-sludge: {check: gauge, then: {low: sludge, ok: chain}",
        (
            "ok: more}}\n  more: {check: view, then: {clear: chain, sludge: chain}, else: chain}\n"
            "  after-sludge: {check: gauge, then: {low: sludge, ok: more}"
        ),
    ),
}


@pytest.mark.parametrize("why", CHANGES)
def test_the_order_stays_where(tmp_path: Path, why: str) -> None:
    old, new = CHANGES[why]
    assert WRONG.count(old) == 1
    text = WRONG.replace(old, new).replace(
        "---\nfaults:", "  third: {ask: Third?, hours: 1, answers: {y: Yes, n: No}}\n---\nfaults:"
    )
    assert find(tmp_path, "dear-before-cheap", text) == []


def test_a_build_that_lacks_the_dear_check_has_no_say(tmp_path: Path) -> None:
    text = WRONG.replace("{ask: Sump?,", "{ask: Sump?, when: {kind: old},")
    assert [line for line, _, _, _ in find(tmp_path, "dear-before-cheap", text)] == [32]


def test_one_build_in_which_the_other_order_saves_nothing_is_enough_to_keep_it(tmp_path: Path) -> None:
    """In the late builds the chain is as good as never the cause, so that the view is needed nearly always."""
    text = WRONG.replace("chain: 70}", "chain: {kind: {new: 0.01, old: 70}}}").replace("other: 5", "other: 0")
    text = text.replace("sludge: 90, pump: 90}", "sludge: 99.9, pump: 99.9}").replace(
        "hours: 0.3,", "hours: 0.3, slip: 0,"
    )
    assert find(tmp_path, "dear-before-cheap", text) == []


def test_a_tree_that_goes_on_in_another_is_judged_by_what_it_asks_itself(tmp_path: Path) -> None:
    text = WRONG.replace("sludge: {outcome: sludge}", "sludge: {continue: deep}").replace(
        "weights: {sludge: 10", "weights: {deep: 10"
    )
    text = text.replace("sludge: 10}}", "deep: 10}}").replace("sludge: 90,", "deep: 90,")
    text += "---\ntree: deep\ntitle: Deep\nweights: {sludge: 1}\nother: 0\nstart: a\nnodes: {a: {outcome: sludge}}\n"
    assert [line for line, _, _, _ in find(tmp_path, "dear-before-cheap", text)] == [32]


@pytest.mark.parametrize("limit", ["_MOST_NODES", "_MOST_STATES"])
def test_a_tree_that_is_too_large_is_not_judged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, limit: str) -> None:
    monkeypatch.setattr(dear_before_cheap, limit, 3)
    assert find(tmp_path, "dear-before-cheap", WRONG) == []
