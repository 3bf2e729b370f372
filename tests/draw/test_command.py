"""`diagtree draw`, as it is typed."""

import json
from pathlib import Path

import pytest

from diagtree.cli import main

HEADS = {".pdf": b"%PDF-", ".svg": b"<?xml", ".png": b"\x89PNG", ".dot": b"digraph", ".graphml": b"<?xml"}


@pytest.mark.parametrize("ending", HEADS)
def test_the_ending_says_what_is_written(
    ending: str, yaml_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / f"poster{ending}"
    assert main(["draw", "rattle", "--library", str(yaml_file), "--out", str(out), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert {"file", "nodes", "edges", "paper", "width_mm", "height_mm", "smallest_pt", "notice"} <= set(said)
    assert (said["file"], said["nodes"], said["edges"]) == (str(out), 25, 39)
    assert out.read_bytes().startswith(HEADS[ending])
    assert [path.name for path in tmp_path.iterdir()] == [out.name]


def test_people_are_told_the_file_the_paper_and_the_smallest_print(
    yaml_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "x.svg"
    assert main(["draw", "rattle", "--library", str(yaml_file), "--out", str(out), "--paper", "a2"]) == 0
    said = capsys.readouterr().out
    assert said.startswith(f"Wrote {out}: 25 boxes, 39 answers, A2, 594 x 420 mm, smallest print ")
    assert said.count("\n") == 1


@pytest.fixture
def empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, and we are in it."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["rattle", "--out", "x.gif"], "does not say what to draw"),
        (["rattle", "--out", "x"], "end its name in .pdf, .svg, .png, .dot or .graphml"),
        (["rattle", "--out", "x.dot", "--paper", "A4"], "leave --paper out"),
        (["ratle", "--out", "x.pdf"], "nearest is 'rattle'"),
        (["rattle", "--out", "x.pdf", "--engine", "nope"], "no engine 'nope'"),
        (["rattle", "--out", "x.pdf", "--paper", "A4"], "use --paper A2"),
        (["rattle", "--out", "gone/x.pdf"], "cannot be written"),
        (["rattle"], "--out"),
        (["rattle", "--out", "x.pdf", "--paper", "B5"], "B5"),
    ],
)
def test_what_cannot_be_drawn_is_one_sentence_and_no_file(
    words: list[str], sentence: str, yaml_file: Path, empty: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["draw", *words, "--library", str(yaml_file)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert sentence in said.err
    assert "Traceback" not in said.err
    assert said.err.count("\n") == 1
    assert not list(empty.iterdir())


def test_one_engine_is_drawn_where_it_is_named(
    yaml_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "x.svg"
    words = ["draw", "rattle", "--library", str(yaml_file), "--out", str(out), "--engine", "brennick-v8"]
    assert main(words) == 0
    assert capsys.readouterr().err == ""
    assert "Brennick V8 (invented) (builds: early, late)" in out.read_text("utf-8")
