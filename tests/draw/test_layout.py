"""The door to the layout engine."""

import json
import sys
from pathlib import Path

import pytest

from diagtree.draw import dot
from diagtree.draw.layout import NO_ENGINE, Layout, lay_out
from diagtree.draw.refusal import Refusal

BOXES = (dot.Sized("n0", 100, 40), dot.Sized("l0", 30, 12), dot.Sized("n1", 100, 60))
TIES = (dot.Tie("n0", "l0", 3), dot.Tie("l0", "n1", arrow=7.0))
DOT = dot.bare(BOXES, TIES, [("n0", "l0")], dot.Spacing(16, 15))


def test_places_run_down_from_the_top_left_corner() -> None:
    found = lay_out(DOT)
    assert isinstance(found, Layout)
    assert found.centres["n0"][1] < found.centres["l0"][1] < found.centres["n1"][1]
    assert found.centres["n0"][1] >= 20
    assert found.height >= 40 + 12 + 60 + 2 * 15


def test_curves_start_and_end_at_the_boxes_and_leave_room_for_the_arrowhead() -> None:
    found = lay_out(DOT)
    assert isinstance(found, Layout)
    plain, arrowed = found.routes["n0", "l0"], found.routes["l0", "n1"]
    assert plain.tip is None
    assert plain.curve[0] == pytest.approx((found.centres["n0"][0], found.centres["n0"][1] + 20), abs=0.5)
    assert arrowed.tip == pytest.approx((found.centres["n1"][0], found.centres["n1"][1] - 30), abs=0.5)
    assert arrowed.curve[-1][1] == pytest.approx(found.centres["n1"][1] - 30 - 7, abs=2.0)
    assert len(arrowed.curve) % 3 == 1


def test_two_runs_give_the_same_places() -> None:
    assert lay_out(DOT) == lay_out(DOT)


def test_without_an_engine_one_sentence_names_what_to_install(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setitem(sys.modules, "pygraphviz", None)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert lay_out(DOT) == Refusal(NO_ENGINE)
    assert "install pygraphviz" in NO_ENGINE


def _program(folder: Path, body: str) -> None:
    program = folder / "dot"
    program.write_text(f"#!{sys.executable}\nimport sys\nsys.stdin.read()\n{body}\n")
    program.chmod(0o755)


@pytest.mark.skipif(sys.platform == "win32", reason="a script cannot stand in for a program there")
def test_without_pygraphviz_the_program_dot_is_asked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    answer = {
        "bb": "0,0,100,80",
        "objects": [{"_gvid": 0, "name": "n0", "pos": "50,60"}, {"_gvid": 1, "name": "n1", "pos": "50,20"}],
        "edges": [{"tail": 0, "head": 1, "pos": "e,50,30 50,50 50,45 50,40 50,37"}],
    }
    _program(tmp_path, f"print({json.dumps(json.dumps(answer))})")
    monkeypatch.setitem(sys.modules, "pygraphviz", None)
    monkeypatch.setenv("PATH", str(tmp_path))
    found = lay_out(DOT)
    assert isinstance(found, Layout)
    assert found.centres == {"n0": (50.0, 20.0), "n1": (50.0, 60.0)}
    assert found.routes["n0", "n1"].tip == (50.0, 50.0)


@pytest.mark.skipif(sys.platform == "win32", reason="a script cannot stand in for a program there")
def test_an_engine_that_fails_is_one_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    _program(tmp_path, "sys.exit(3)")
    monkeypatch.setitem(sys.modules, "pygraphviz", None)
    monkeypatch.setenv("PATH", str(tmp_path))
    found = lay_out(DOT)
    assert isinstance(found, Refusal)
    assert "gave up" in found.sentence
