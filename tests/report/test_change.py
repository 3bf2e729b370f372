"""What an edit does in effect, as it is told: words, JSON, exit codes."""

from __future__ import annotations

import json
from pathlib import Path
from shutil import copytree
from typing import TYPE_CHECKING

import pytest

from diagtree.cli import main
from diagtree.estimate.change import Change, change
from diagtree.model.library import NOTICE
from diagtree.report.change import as_dict, as_json, as_text
from diagtree.report.change_text import MOST_SHOWN, NOTHING_CHANGES
from diagtree.report.lines import cells
from diagtree.source.reader import read

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

FOREIGN = Path(__file__).parent.parent / "foreign"


def edited(folder: Path, name: str, edits: Mapping[str, Mapping[str, str]]) -> Path:
    """A copy of a library with some of its text replaced: file -> old -> new."""
    made = folder / "edited"
    copytree(FOREIGN / name, made)
    for file, replaced in edits.items():
        text = (made / file).read_text(encoding="utf-8")
        for old, new in replaced.items():
            assert old in text
            text = text.replace(old, new)
        (made / file).write_text(text, encoding="utf-8")
    return made


def pump(folder: Path, edits: Mapping[str, Mapping[str, str]]) -> Change:
    return change(read(str(FOREIGN / "pump")).library, read(str(edited(folder, "pump", edits))).library)


def flat(text: str) -> str:
    return " ".join(text.split())


MOVED = {"trees.yaml": {"then: {close: airy, wide: worn}": "then: {close: dirty, wide: worn}"}}
BANDS = {
    "trees.yaml": {"then: {low: soap, right: soap, high: dirty}": "then: {low: soap, right: airy, high: dirty}"},
    "engine.yaml": {"low: {below: 2.8}": "low: {below: 2.5}", "right: {from: 2.8,": "right: {from: 2.5,"},
}


def test_a_moved_outcome_is_said_by_tree_with_the_answers(tmp_path: Path) -> None:
    text = flat(as_text(pump(tmp_path, MOVED)))
    assert "Tree 'Low flow' (low-flow)" in text
    assert (
        "All builds of tarn-pump: what ended in 'Air drawn in at a suction flange' (air-in-suction) now ends in "
        "'Suction strainer blocked' (strainer-blocked). Seen with strainer-drop=free, discharge-pressure=low, "
        "soap-test=whole, ring-clearance=close." in text
    )
    assert NOTHING_CHANGES not in text


def test_a_moved_outcome_as_data(tmp_path: Path) -> None:
    data = as_dict(pump(tmp_path, MOVED))
    (moved,) = [one for one in data["moved"] if one["tree"] == "low-flow"]
    assert moved == {
        "tree": "low-flow",
        "engine": "tarn-pump",
        "builds": ["plain", "sealed", "tall", "short"],
        "before": ["air-in-suction"],
        "after": ["strainer-blocked"],
        "answers": {
            "strainer-drop": "free",
            "discharge-pressure": "low",
            "soap-test": "whole",
            "ring-clearance": "close",
        },
    }
    assert data["searched"] is True
    assert data["notice"] == NOTICE
    assert data["scopes"] == data["weights"] == data["tables"] == data["refused"] == []


def test_a_reading_between_the_limits_stands_with_its_unit(tmp_path: Path) -> None:
    data = as_dict(pump(tmp_path, BANDS))
    readings = {one["answers"]["discharge-pressure"] for one in data["moved"] if one["tree"] == "low-flow"}
    assert any(2.5 <= float(said.removesuffix(" bar")) < 2.8 for said in readings if said.endswith(" bar"))


def test_price_and_hours_are_said_per_repair_and_build(tmp_path: Path) -> None:
    edits = {
        "engine.yaml": {
            "price: 3.80": "price: 4.80",
            "hours: 0.6\n    after: [isolate]": "hours: 0.7\n    after: [isolate]",
        }
    }
    found = pump(tmp_path, edits)
    assert (
        "Repair of 'Suction strainer blocked' (strainer-blocked) - All builds of tarn-pump: 1.2 h, was 1.1 h; parts at "
        "single prices 4.80 GBP, was 3.80 GBP; labour and parts 91.80 GBP, was 83.55 GBP." in flat(as_text(found))
    )
    (scope,) = [one for one in as_dict(found)["scopes"] if one["fault"] == "strainer-blocked"]
    assert scope == {
        "fault": "strainer-blocked",
        "engine": "tarn-pump",
        "builds": ["plain", "sealed", "tall", "short"],
        "steps": {"added": [], "removed": []},
        "hours": {"before": 1.1, "after": 1.2},
        "parts": {"added": [], "removed": []},
        "parts_cost": {"before": 3.8, "after": 4.8},
        "cost": {"before": 83.55, "after": 91.8},
    }


def test_steps_and_parts_that_go_are_said(tmp_path: Path) -> None:
    edits = {"engine.yaml": {"    brings: {clean-strainer: It lies between these flanges.}\n": ""}}
    text = flat(as_text(pump(tmp_path, edits)))
    assert "leaves out 'Clean the suction strainer'; parts fewer: 1 x Strainer gasket (TN-180);" in text


def test_a_weight_and_a_row_are_said(tmp_path: Path) -> None:
    edits = {
        "trees.yaml": {"other: 6": "other: 30"},
        "checks.yaml": {"given: {default: 93, strainer-blocked: 6}": "given: {default: 93, strainer-blocked: 40}"},
    }
    text = flat(as_text(pump(tmp_path, edits)))
    # By share 4 + 3 + 0.5 and 2.5: 300 / (7.5 * 112 + 2.5 * 125), was 60 / (7.5 * 88 + 2.5 * 101).
    assert "Before any answer, a cause that is not in the tree is behind 26 in 100 such cars, was 6.6." in text
    assert "What the checks show - strainer-drop, with 'Suction strainer blocked' (strainer-blocked): free in" in text


def test_wording_is_nothing_in_effect(tmp_path: Path) -> None:
    found = pump(tmp_path, {"trees.yaml": {"Low flow": "Less than it should be"}})
    assert as_text(found) == f"{NOTHING_CHANGES}\n"
    data = as_dict(found)
    assert not any(data[key] for key in ("moved", "refused", "unreachable", "reachable", "scopes", "weights", "edits"))


def test_an_edit_without_a_figure_is_not_called_nothing(tmp_path: Path) -> None:
    text = as_text(pump(tmp_path, {"checks.yaml": {"wait: 0.5": "wait: 2"}}))
    assert text == "No outcome, scope or chance moves.\n\nEdited in more than wording\n  - check soap-test: wait.\n"


def test_a_search_that_was_cut_is_never_called_nothing(tmp_path: Path) -> None:
    old, new = (read(str(path)).library for path in (FOREIGN / "pump", edited(tmp_path, "pump", MOVED)))
    found = change(old, new, most=1)
    text = flat(as_text(found))
    assert NOTHING_CHANGES not in text
    assert "the walk costs" in text  # which needs no search
    assert "the search was cut after 1 states. More may have moved than stands here." in text
    data = as_dict(found)
    assert data["searched"] is False
    assert {one["tree"] for one in data["cut"]} == {"noisy-pump", "low-flow"}


@pytest.mark.parametrize("columns", [40, 80])
def test_no_line_is_wider_than_asked(tmp_path: Path, columns: int) -> None:
    found = pump(tmp_path, {**MOVED, "shop.yaml": {"labour-rate: 72.5": "labour-rate: 80"}})
    assert all(cells(line) <= columns for line in as_text(found, columns).split("\n"))


def test_a_library_without_engine_names_none(tmp_path: Path) -> None:
    text = (FOREIGN / "small.yaml").read_text(encoding="utf-8")
    (tmp_path / "new.yaml").write_text(text.replace("then: {yes: new-cord", "then: {yes: new-fuse"), encoding="utf-8")
    found = change(read(str(FOREIGN / "small.yaml")).library, read(str(tmp_path / "new.yaml")).library)
    (moved,) = json.loads(as_json(found))["moved"]
    assert (moved["engine"], moved["builds"]) == (None, [])
    assert "- what ended in 'Cord broken' (cord-broken) now ends in 'Fuse blown' (fuse-blown)." in flat(as_text(found))


CHECK = "{{ask: How is c{0}, hours: 0.1, answers: {{yes: Yes, no: No}}}}"
FAULT = "{{title: f{0}, why: It wore., repair: [], verify: [It runs.]}}"


def chain(folder: Path, skip: int, engines: Sequence[str]) -> Path:
    """Sixteen questions; a `yes` ends in its own fault, a `no` asks on, the first one's past `skip` others."""
    nodes = [f"  q{at}: {{check: c{at}, then: {{yes: e{at}, no: q{at + 1}}}}}" for at in range(16)]
    nodes[0] = nodes[0].replace("q1}", f"q{1 + skip}}}")
    ends = [f"  e{at}: {{outcome: f{at}}}" for at in range(16)]
    weights = ", ".join(f"f{at}: 1" for at in range(17))
    documents = [
        "checks: {" + ", ".join(f"c{at}: {CHECK.format(at)}" for at in range(16)) + "}",
        "faults: {" + ", ".join(f"f{at}: {FAULT.format(at)}" for at in range(17)) + "}",
        *(f"engine: {name}\ntitle: {name}\nbuilds: {{one: {{share: 1}}, two: {{share: 2}}}}" for name in engines),
        f"tree: chain\ntitle: Chain\nweights: {{{weights}}}\nstart: q0\nnodes:\n"
        + "\n".join([*nodes, *ends, "  q16: {outcome: f16}\n"]),
    ]
    path = folder / f"skip-{skip}.yaml"
    path.write_text("\n---\n".join(documents), encoding="utf-8")
    return path


def test_many_pairs_are_counted_in_words_and_listed_as_data(tmp_path: Path) -> None:
    """Five ends skipped, each of them now one of the eleven behind; two engines say the same, once."""
    old, new = (read(str(chain(tmp_path, skip, ["left", "right"]))).library for skip in (0, 5))
    found = change(old, new)
    text = flat(as_text(found))
    assert len(as_dict(found)["moved"]) == 2 * 55
    assert text.count("All builds of left and all builds of right: what ended in") == MOST_SHOWN
    assert "35 more such pairs take as many answers or more: `--json` lists all." in text


# The command


def test_the_command_compares_and_ends_with_0(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = edited(tmp_path, "pump", {"engine.yaml": {"price: 3.80": "price: 4.80"}})
    assert main(["vet", str(new), "--against", str(FOREIGN / "pump"), "--json"]) == 0
    streams = capsys.readouterr()
    data = json.loads(streams.out)
    assert {one["fault"] for one in data["scopes"]} >= {"strainer-blocked"}
    assert streams.err == ""


def test_the_same_library_is_said_to_change_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["vet", str(FOREIGN / "boiler"), "--against", str(FOREIGN / "boiler")]) == 0
    assert capsys.readouterr().out == f"{NOTHING_CHANGES}\n"


@pytest.mark.parametrize("wrong", ["old", "new"])
def test_a_library_with_errors_is_not_compared(tmp_path: Path, capsys: pytest.CaptureFixture[str], wrong: str) -> None:
    bad = edited(tmp_path, "pump", {"trees.yaml": {"start: drop": "start: dropp"}})
    sound = str(FOREIGN / "pump")
    old, new = (str(bad), sound) if wrong == "old" else (sound, str(bad))
    assert main(["vet", new, "--against", old]) == 1
    streams = capsys.readouterr()
    assert streams.out == ""
    assert "dropp" in streams.err
    assert "trees.yaml:" in streams.err


def test_both_libraries_are_judged_in_one_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = edited(tmp_path, "pump", {"trees.yaml": {"start: drop": "start: dropp"}})
    assert main(["vet", str(tmp_path / "nowhere"), "--against", str(bad), "--json"]) == 1
    streams = capsys.readouterr()
    assert streams.out == ""
    assert "dropp" in streams.err
    assert "nowhere" in streams.err


def test_sarif_has_no_form_for_a_change(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["vet", str(FOREIGN / "pump"), "--against", str(FOREIGN / "pump"), "--sarif"]) == 2
    streams = capsys.readouterr()
    assert streams.out == ""
    assert "--json" in streams.err
