"""All structural rules on one library: each mistake is told once."""

import random
import re
from pathlib import Path

import pytest

from diagtree.rules import registry
from diagtree.source.reader import read
from tests.rules.finding import errors

SOUND = """\
cautions:
  hot-engine: Hot oil. Let it cool.
---
checks:
  level:
    ask: Level?
    hours: 0.1
    cautions: [hot-engine]
    answers: {low: Low, ok: Right}
    given: {default: {low: 5, ok: 95}, oil-low: {low: 90, ok: 10}}
  pressure:
    ask: Pressure?
    hours: 0.6
    reading: {unit: kPa, uncertainty: 10}
    answers: {low: {below: 100}, good: {from: 100}}
    given: {default: {low: 5, good: 95}, pickup: {low: 90, good: 10}}
  look:
    ask: Guide?
    hours: 0.2
    behind: [cover-off]
    when: {chain: roller}
    answers: {whole: Whole, broken: Broken}
    given: {default: {whole: 95, broken: 5}, guide: {whole: 5, broken: 95}}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [fill-oil], verify: [Level right.]}
  pickup: {title: Pickup, why: Sludge., repair: [clean-pickup, fill-oil], verify: [Pressure right.]}
  guide: {title: Guide, why: Age., repair: [renew-guide], verify: [No noise.]}
---
engine: v8
title: V8
features: {chain: {title: Chain, values: [roller, silent]}}
builds:
  early: {chain: roller}
  late: {chain: silent}
limits:
  pressure: {low: {below: 80}, good: {from: 80}}
work:
  fill-oil: {title: Fill oil, hours: 0.2, follows: [clean-pickup]}
  cover-off: {title: Cover off, hours: 1}
  clean-pickup: {title: Clean pickup, hours: 2}
  renew-guide: {title: Guide, hours: 0.5, after: [cover-off], takes: {guide: {chain: {roller: 1, silent: 2}}}}
parts:
  guide:
    title: Guide
    numbers:
      - {number: G1, price: 9, when: {chain: roller}}
      - {number: G2, price: 9, when: {chain: silent}}
kits:
  - {number: K1, title: Kit, price: 12, when: {chain: silent}, holds: {guide: 2}}
---
tree: rattle
title: Rattle
weights: {oil-low: 30, pickup: 5, guide: 8}
other: 5
start: level
nodes:
  level: {check: level, then: {low: top-up, ok: pressure}}
  pressure: {check: pressure, then: {low: pickup, good: look}}
  look: {check: look, then: {whole: top-up, broken: guide}, else: guide}
  top-up: {outcome: oil-low}
  pickup: {outcome: pickup}
  guide: {outcome: guide}
"""

# Each line: what is written, what is written instead, the rule that must tell it.
MISTAKES = (
    ("cautions: [hot-engine]", "cautions: [hot-engin]", "unknown-caution"),
    ("oil-low: {low: 90, ok: 10}", "oil-low: {low: 0, ok: 0}", "row-of-zeros"),
    ("answers: {low: {below: 100}, good: {from: 100}}", "answers: {low: {below: 90}, good: {from: 100}}", "band-gap"),
    ("behind: [cover-off]", "behind: [covr-off]", "unknown-step"),
    ("when: {chain: roller}\n    answers", "when: {chian: roller}\n    answers", "unknown-feature"),
    ("repair: [fill-oil], verify", "repair: [fill-oli], verify", "unknown-step"),
    ("why: Age., ", "wy: Age., ", "unknown-key"),
    ("early: {chain: roller}", "early: {chain: rollr}", "unknown-value"),
    ("low: {below: 80}, good: {from: 80}", "low: {below: 80}, goood: {from: 80}", "unknown-answer"),
    ("follows: [clean-pickup]", "follows: [clean-pickpu]", "unknown-step"),
    ("cover-off: {title: Cover off, hours: 1}", "cover-off: {title: Cover off, hours: one}", "wrong-type"),
    (
        "takes: {guide: {chain: {roller: 1, silent: 2}}}",
        "takes: {guide: {chain: {roller: 1, silnt: 2}}}",
        "unknown-value",
    ),
    ("when: {chain: silent}}\nkits", "when: {chain: silnt}}\nkits", "unknown-value"),
    ("when: {chain: silent}, holds", "holds", "kit-without-feature"),
    ("holds: {guide: 2}", "holds: {guid: 2}", "unknown-part"),
    ("weights: {oil-low: 30", "weights: {oil-lwo: 30", "unknown-fault"),
    ("start: level", "start: levl", "unknown-node"),
    ("then: {low: top-up, ok: pressure}", "then: {low: top-up, ok: presure}", "unknown-node"),
    ("then: {low: pickup, good: look}", "then: {low: pickup, god: look}", "unknown-answer"),
    ("look: {check: look,", "look: {check: lok,", "unknown-check"),
    ("pickup: {outcome: pickup}", "pickup: {outcome: pickp}", "unknown-fault"),
    (", else: guide}", "}", "missing-else"),
    ("  guide: {outcome: guide}", "  guide: {outcome: guide, notes: Slow.}", "unknown-key"),
    ("title: Rattle", "titel: Rattle", "unknown-key"),
)


def test_a_sound_library_has_no_problem(tmp_path: Path) -> None:
    assert errors(tmp_path, SOUND) == []


def _line(text: str) -> int:
    return SOUND[: SOUND.index(text)].count("\n") + 1


def test_each_mistake_alone_is_told_once_at_its_line(tmp_path: Path) -> None:
    wrong = {}
    for right, mistake, rule in MISTAKES:
        assert SOUND.count(right) == 1, right
        found = errors(tmp_path, SOUND.replace(right, mistake))
        if [told for told in found if told[1] != "missing-key"] != [(_line(right), rule)]:
            wrong[mistake] = found
    assert wrong == {}


def test_many_mistakes_in_one_file_are_told_in_one_run(tmp_path: Path) -> None:
    text = SOUND
    chosen = [MISTAKES[index] for index in (0, 1, 2, 3, 5, 8, 9, 11, 14, 17, 18, 21)]
    for right, mistake, _ in chosen:
        text = text.replace(right, mistake)
    assert errors(tmp_path, text) == sorted((_line(right), rule) for right, _, rule in chosen)


def test_a_broken_file_is_told_without_what_would_follow_from_it(tmp_path: Path) -> None:
    assert errors(tmp_path, SOUND.replace("faults:\n", "faults: [\n")) == [(27, "syntax")]


def _spoilt(seed: int) -> str:
    """The sound library with one to three lines lost, doubled or swapped, or words exchanged."""
    chance = random.Random(seed)
    words = re.findall(r"[a-z0-9-]+", SOUND)
    lines = SOUND.split("\n")
    for _ in range(chance.randint(1, 3)):
        first, second = chance.randrange(len(lines)), chance.randrange(len(lines))
        kind = chance.randrange(4)
        if kind == 0:
            lines[first] = ""
        elif kind == 1:
            lines[first], lines[second] = lines[second], lines[first]
        elif kind == 2:
            lines.insert(first, lines[second])
        else:
            lines[first] = re.sub(r"[a-z0-9-]+", lambda _: chance.choice(words), lines[first], count=1)
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(100))
def test_a_spoilt_library_has_only_problems_that_have_a_place_and_a_manual_entry(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(_spoilt(seed), encoding="utf-8")
    found = read(str(path))
    lines = path.read_text(encoding="utf-8").split("\n")
    for one in (*found.problems, *registry.problems(found.library, registry.vetting(whole=found.whole))):
        assert one.rule in registry.ids()
        assert one.file == str(path)
        assert 1 <= one.line <= len(lines)
        assert 1 <= one.column <= len(lines[one.line - 1]) + 1
        assert one.message.endswith((".", "?"))
