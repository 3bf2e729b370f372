from pathlib import Path

import pytest

from tests.rules.finding import find

TEXT = """\
cautions:
  hot: Hot.
  cold: Cold.
---
checks:
  level: {ask: Level?, hours: 0.1, behind: [tray-off], cautions: [hot], takes: {rag: 1}, answers: {low: Low, ok: Right}}
  spare: {ask: Spare?, hours: 0.1, answers: {low: Low, ok: Right}}
---
faults:
  oil: {title: Oil low, why: Leaks., repair: [fill], verify: []}
  left: {title: Left over, why: Leaks., repair: [], verify: []}
---
engine: v8
title: V8
work:
  tray-off: {title: Tray off, hours: 0.2}
  plug-out: {title: Plug out, hours: 0.1}
  fill: {title: Fill, hours: 0.2, after: [plug-out], takes: {oil: 1}}
  wash: {title: Wash, hours: 0.2, offer: Is on the lift., takes: {soap: 1}}
  idle: {title: Idle, hours: 0.2, takes: {paper: 1}}
parts:
  rag: {title: Rag, numbers: [{number: R1, price: 1}]}
  oil: {title: Oil, numbers: [{number: O1, price: 1}]}
  soap: {title: Soap, numbers: [{number: S1, price: 1}]}
  paper: {title: Paper, numbers: [{number: P1, price: 1}]}
  bolt: {title: Bolt, numbers: [{number: B1, price: 1}]}
  nut: {title: Nut}
---
tree: rattle
title: Rattle
weights: {oil: 1}
start: a
nodes:
  a: {check: level, then: {low: b, ok: b}}
  b: {outcome: oil}
"""


def test_entries_that_nothing_names(tmp_path: Path) -> None:
    assert find(tmp_path, "unused-entry", TEXT) == [
        (3, 3, "Nothing shows this caution. Name it where it holds, or take it out.", ""),
        (7, 3, "No tree asks this check. Ask it in one, or take it out.", ""),
        (11, 3, "No tree has this fault. Give it a weight and an outcome in one, or take it out.", ""),
        (20, 3, "No repair, check or offer leads to this step. Name it in one, or take it out.", ""),
        (26, 3, "No step and no check takes this part. Name it in `takes`, or take it out.", ""),
    ]


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("cautions: [hot]", "cautions: [hot, cod]", 3),
        ("a: {check: level,", "a: {check: spar,", 7),
        ("weights: {oil: 1}", "weights: {oil: 1, lef: 1}", 11),
        ("after: [plug-out]", "after: [plug-out, idl]", 20),
        ("takes: {oil: 1}", "takes: {oil: 1, bol: 1}", 26),
    ],
)
def test_what_a_misspelt_name_is_meant_for_counts_as_named(tmp_path: Path, old: str, new: str, line: int) -> None:
    def lines(text: str) -> list[int]:
        return [found[0] for found in find(tmp_path, "unused-entry", text)]

    assert TEXT.count(old) == 1
    assert line in lines(TEXT)
    assert line not in lines(TEXT.replace(old, new))


def test_a_library_without_a_tree_is_not_judged(tmp_path: Path) -> None:
    assert find(tmp_path, "unused-entry", TEXT[: TEXT.index("---\ntree:")]) == []


def test_a_library_where_all_is_named(tmp_path: Path) -> None:
    text = TEXT.replace("cautions: [hot]", "cautions: [hot, cold]").replace("repair: [fill]", "repair: [fill, idle]")
    text = text.replace("weights: {oil: 1}", "weights: {oil: 1, left: 1}").replace("ok: b}}", "ok: c}}")
    text = text.replace("takes: {rag: 1}", "takes: {rag: 1, bolt: 1}")
    text += "  c: {check: spare, then: {low: b, ok: b}}\n"
    assert find(tmp_path, "unused-entry", text) == []
