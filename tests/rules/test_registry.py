import subprocess
import sys
from pathlib import Path

import pytest

import diagtree.rules
from diagtree.rules import registry
from diagtree.source.reader import read

FOLDER = Path(diagtree.rules.__file__).parent
MODULES = {path.stem.replace("_", "-") for path in FOLDER.glob("*.py") if "\nID = " in path.read_text(encoding="utf-8")}


def test_every_rule_in_the_folder_is_registered_once() -> None:
    assert sorted(MODULES) == list(registry.ids())
    assert len(registry.ids()) == len(set(registry.ids()))


@pytest.mark.parametrize("rule_id", sorted(MODULES))
def test_a_rule_is_named_as_its_file_and_its_manual_shows_wrong_and_right(rule_id: str) -> None:
    rule = registry.rule(rule_id)
    assert rule
    assert rule.id == rule_id
    first, _, rest = rule.manual.partition("\n\n")
    assert first.endswith(".")
    assert rest.index("Wrong:") < rest.index("Right:")


@pytest.mark.parametrize("rule_id", registry.FORM)
def test_rules_of_form_are_marked_and_find_nothing_themselves(rule_id: str) -> None:
    text = (FOLDER / f"{rule_id.replace('-', '_')}.py").read_text(encoding="utf-8")
    assert "\nFORM = True" in text
    assert "def check" not in text


def test_an_unknown_rule_is_none() -> None:
    assert registry.rule("no-such-rule") is None
    assert registry.rule("registry") is None


def test_structural_rules_are_errors() -> None:
    assert {rule.severity for rule in registry.structural()} == {"error"}


def test_a_broken_file_leaves_only_rules_that_look_at_one_entry() -> None:
    assert [rule.id for rule in registry.structural(whole=False)] == list(registry.ALONE)


JUDGED = """\
checks:
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
---
faults:
  oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
other: 1
start: a
nodes:
  a: {check: level, then: {low: b, ok: b}}
  b: {outcome: oil-low}
"""


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (JUDGED, ["idle-check"]),
        (JUDGED.replace("check: level,", "check: levle,"), ["unknown-check"]),  # found by a rule
        (JUDGED.replace("hours: 0.1", "hours: 0.1, colour: red"), ["unknown-key"]),  # found by reading
        (JUDGED.replace("other: 1\n", ""), ["without-other", "idle-check"]),
    ],
)
def test_a_library_is_judged_only_where_it_has_no_error(tmp_path: Path, text: str, told: list[str]) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(text, encoding="utf-8")
    assert [one.rule for one in registry.vet(read(str(path)))] == told


def test_a_rule_that_judges_is_heard_alone(tmp_path: Path) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(JUDGED.replace("oil-low: {", "oil-lw: {"), encoding="utf-8")
    rule = registry.rule("unused-entry")
    assert rule
    assert registry.problems(read(str(path)).library, (rule,)) == tuple(rule.check(read(str(path)).library))


def test_every_id_that_reading_reports_has_a_manual_entry() -> None:
    source = Path(diagtree.rules.__file__).parents[1] / "source"
    text = "".join(path.read_text(encoding="utf-8") for path in source.glob("*.py"))
    reported = {rule_id for rule_id in (*registry.FORM, "unknown-answer") if f'"{rule_id}"' in text}
    assert reported == {*registry.FORM, "unknown-answer"}


PROGRAM = """
import sys
from diagtree.rules import registry
from diagtree.source.reader import read
from diagtree.source.reader import read
found = read(sys.argv[1])
registry.problems(found.library, registry.structural())
print(*sorted({"networkx", "numpy", "pint", "prompt_toolkit", "sqlalchemy"} & set(sys.modules)))
"""


def test_structural_rules_load_nothing_heavy(tmp_path: Path) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(
        "checks:\n  p: {ask: P?, hours: 1, reading: {unit: kPa}, answers: {low: {below: 9}, ok: {from: 9}}}\n---\n"
        "engine: v8\ntitle: V8\nwork: {a: {title: A, hours: 1, torque: [{bolts: B, steps: [10 N m]}]}}\n---\n"
        "faults: {f: {title: F, why: F., repair: [a], verify: []}}\n---\n"
        "tree: t\ntitle: T\nweights: {f: 1}\nstart: p\n"
        "nodes: {p: {check: p, then: {low: f, ok: f}}, f: {outcome: f}}\n",
        encoding="utf-8",
    )
    run = subprocess.run([sys.executable, "-c", PROGRAM, str(path)], capture_output=True, text=True, check=True)
    assert run.stdout == "\n"
