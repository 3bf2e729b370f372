"""One slip is one problem: what would follow from it is not reported as well. And a file's problems have an end."""

from pathlib import Path

import pytest

from diagtree.rules.registry import MOST, problems, structural
from diagtree.source.nodes import MOST_PROBLEMS
from diagtree.source.reader import Read, read

SOUND = """\
checks:
  level:
    ask: Level?
    hours: 0.1
    answers: {low: Low, ok: Right}
    given: {default: {low: 5, ok: 95}, worn: {low: 90, ok: 10}}
  pressure:
    ask: Pressure?
    hours: 0.2
    behind: [open]
    reading: {unit: kPa, uncertainty: 5}
    answers: {low: {below: 100, is: Low}, ok: {from: 100, is: Right}}
    given: {default: 10, worn: 80}
---
faults:
  worn: {title: Worn, why: Age., repair: [renew], verify: [Listen.]}
  dry: {title: Dry, why: Leak., repair: [renew], verify: [Look.]}
---
engine: vee
title: Vee
work:
  open: {title: Open, hours: 1}
  renew: {title: Renew, hours: 2, after: [open], takes: {chain: 1}}
parts:
  chain: {title: Chain, numbers: [{number: C-1, price: 5}]}
---
tree: rattle
title: Rattle
weights: {worn: 1, dry: 2}
other: 1
start: first
nodes:
  first: {check: level, then: {low: second, ok: end}}
  second: {check: pressure, then: {low: end, ok: other-end}, else: end}
  end: {outcome: worn}
  other-end: {outcome: dry}
"""


def found(folder: Path, text: str) -> list[tuple[int, str]]:
    """Line and rule of all errors."""
    result = write(folder, text)
    everything = (*result.problems, *problems(result.library, structural(whole=result.whole)))
    return sorted((one.line, one.rule) for one in everything if one.severity == "error")


def write(folder: Path, text: str) -> Read:
    path = folder / "library.yaml"
    path.write_text(text, encoding="utf-8")
    return read(str(path))


def test_the_sound_library_has_no_error(tmp_path: Path) -> None:
    assert found(tmp_path, SOUND) == []


SLIPS = [
    ("engine: vee\n", "egnine: vee\n", [(19, "unknown-kind")]),
    ("checks:\n", "check:\n", [(1, "unknown-kind")]),
    ("faults:\n", "fautls:\n", [(15, "unknown-kind")]),
    ("tree: rattle\n", "Tree: rattle\n", [(27, "unknown-kind")]),
    ("engine: vee\n", "engine: The Vee\n", [(19, "bad-id")]),
    ("engine: vee\n", "engine:\n", [(19, "wrong-type")]),
    ("work:\n", "works:\n", [(21, "unknown-key")]),
    ("parts:\n", "part:\n", [(24, "unknown-key")]),
    ("nodes:\n", "node:\n", [(32, "unknown-key")]),
    ("weights:", "weight:", [(29, "unknown-key")]),
    ("    answers: {low: Low, ok: Right}\n", "    anwsers: {low: Low, ok: Right}\n", [(5, "unknown-key")]),
    ("    reading: {unit", "    readng: {unit", [(11, "unknown-key")]),
    ("    reading: {unit: kPa, uncertainty: 5}\n", "    reading: kPa\n", [(11, "wrong-type")]),
    ("low: {below: 100, is: Low}", "low: Below 100", [(12, "wrong-type")]),
    ("low: Low, ok: Right}", "low: Low, ok: }", [(5, "wrong-type")]),
    ("then: {low: second, ok: end}", "then: [second, end]", [(33, "wrong-type")]),
    ("{check: level, then: {low: second, ok: end}}", "{check: level}", [(33, "missing-key")]),
    ("end: {outcome: worn}\n  other", "end: {outcom: worn}\n  other", [(35, "missing-key")]),
    ("other-end: {outcome: dry}", "other-end: {outcome: }", [(36, "wrong-type")]),
    ("nodes:\n", "nodes: []\nnods:\n", [(32, "wrong-type"), (33, "unknown-key")]),
]


@pytest.mark.parametrize(("old", "new", "expected"), SLIPS, ids=[new.strip()[:40] for _, new, _ in SLIPS])
def test_one_slip_is_one_problem(old: str, new: str, expected: list[tuple[int, str]], tmp_path: Path) -> None:
    assert SOUND.count(old) == 1
    assert found(tmp_path, SOUND.replace(old, new)) == expected


def test_what_stands_under_a_misspelt_key_is_read_and_placed(tmp_path: Path) -> None:
    text = SOUND.replace("work:\n", "works:\n").replace("hours: 2,", "hours: two,")
    assert found(tmp_path, text) == [(21, "unknown-key"), (23, "wrong-type")]
    text = SOUND.replace("work:\n", "works:\n").replace("after: [open]", "after: [opne]")
    assert found(tmp_path, text) == [(21, "unknown-key"), (23, "unknown-step")]


def test_a_word_that_is_like_no_kind_leaves_the_rest_unjudged(tmp_path: Path) -> None:
    assert found(tmp_path, SOUND.replace("engine: vee\n", "motor: vee\n")) == [(19, "unknown-kind")]


def test_a_date_must_be_in_the_calendar(tmp_path: Path) -> None:
    for date, expected in (("2026-02-28", []), ("2026-02-29", [(29, "out-of-range")]), ("2028-02-29", [])):
        assert found(tmp_path, SOUND.replace("title: Rattle\n", f"title: Rattle\ndate: {date}\n")) == expected


def test_the_problems_of_a_file_have_an_end_and_the_rest_is_counted(tmp_path: Path) -> None:
    result = write(tmp_path, "cautions:\n" + "".join(f"  A{number}: Hot.\n" for number in range(MOST_PROBLEMS + 25)))
    assert len(result.problems) == MOST_PROBLEMS + 1
    (last,) = [one for one in result.problems if one.rule == "too-large"]
    assert (last.line, last.message) == (1, "This file has 25 problems more than are shown. Mend these first.")
    assert not result.whole


def test_the_problems_of_a_rule_have_an_end(tmp_path: Path) -> None:
    names = ", ".join(f"hot-{number}" for number in range(MOST + 100))
    fault = "worn: {title: Worn,"
    text = SOUND.replace(fault, f"{fault} cautions: [{names}],")
    assert len(found(tmp_path, text)) == MOST


def test_more_values_than_memory_can_hold_are_refused(tmp_path: Path) -> None:
    result = write(tmp_path, "cautions: [" + "a," * 700_000 + "a]")
    assert [(one.line, one.rule) for one in result.problems] == [(1, "too-large")]


HIDDEN = ["\u00ad", "\u200b", "\u200e", "\u200f", "\u061c", "\u2060", "\ufff9", "\U000e0041"]


@pytest.mark.parametrize("hidden", HIDDEN, ids=ascii)
def test_a_character_without_width_is_hidden(hidden: str, tmp_path: Path) -> None:
    for text in (f"cautions: {{a: Hot{hidden}oil.}}\n", f'cautions: {{a: "Hot\\U{ord(hidden):08X}oil."}}\n'):
        (one,) = write(tmp_path, text).problems
        assert one.rule == "hidden-character"
        assert f"U+{ord(hidden):04X}" in one.message


def test_a_joiner_that_some_scripts_need_is_text(tmp_path: Path) -> None:
    result = write(tmp_path, "cautions: {a: کت\u200cک}\n")
    assert result.problems == ()
    (one,) = write(tmp_path, "cautions: {a\u200cb: Hot.}\n").problems
    assert one.message.startswith("The key 'a<U+200C>b' stands here.")
