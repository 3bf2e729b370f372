"""`--sheet` and `--paper`: a PDF beside the report, whole or not at all."""

import errno
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from diagtree.cli import main

ROOT = Path(__file__).resolve().parents[2]
PUMP = str(ROOT / "tests" / "foreign" / "pump")
SCOPE = ["scope", "impeller-worn", "--library", PUMP]
COMMANDS = {"scope": SCOPE, "estimate": ["estimate", "low-flow", "--lines", "--library", PUMP]}


@pytest.fixture(params=COMMANDS)
def argv(request: pytest.FixtureRequest) -> list[str]:
    """A command that prints a sheet."""
    return COMMANDS[request.param]


@pytest.fixture(autouse=True)
def _where(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1764028800")  # 2025-11-25


def test_a_sheet_is_written_and_said(argv: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*argv, "--sheet", "job.pdf"]) == 0
    reader = pypdf.PdfReader("job.pdf", strict=True)
    many = len(reader.pages)
    assert capsys.readouterr() == (f"Wrote job.pdf: {many} page{'s' * (many > 1)}, A4.\n", "")
    assert "printed 2025-11-25" in reader.pages[0].extract_text()


@pytest.mark.parametrize("typed", ["letter", "LETTER", "a4", "A4"])
def test_paper_is_known_in_any_case(argv: list[str], typed: str) -> None:
    assert main([*argv, "--sheet", "job.pdf", "--paper", typed]) == 0
    width = float(pypdf.PdfReader("job.pdf").pages[0].mediabox.width)
    assert width == pytest.approx(612 if typed.lower() == "letter" else 595.28, abs=0.01)


def test_json_says_what_was_written_beside_the_scope(argv: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*argv, "--json"]) == 0
    alone = json.loads(capsys.readouterr().out)
    assert main([*argv, "--json", "--sheet", "job.pdf", "--paper", "letter"]) == 0
    both = json.loads(capsys.readouterr().out)
    pages = len(pypdf.PdfReader("job.pdf").pages)
    assert both.pop("sheet") == {"file": "job.pdf", "pages": pages, "paper": "letter"}
    assert both == alone


def test_what_was_there_is_replaced_and_nothing_is_left_beside_it(argv: list[str], tmp_path: Path) -> None:
    (tmp_path / "job.pdf").write_bytes(b"yesterday's")
    assert main([*argv, "--sheet", "job.pdf"]) == 0
    assert (tmp_path / "job.pdf").read_bytes().startswith(b"%PDF-")
    assert [path.name for path in tmp_path.iterdir()] == ["job.pdf"]


WRONG = [
    (["--paper", "A4"], "add --sheet FILE.pdf"),
    (["--sheet", "job.png"], "'job.png' is no name for a sheet: end it in .pdf."),
    (["--sheet", "job"], "end it in .pdf"),
    (["--sheet", ""], "--sheet is empty."),
    (["--sheet", "none/job.pdf"], "none/job.pdf cannot be written"),
    (["--sheet", "job.pdf", "--paper", "A3"], "invalid choice"),
    (["--sheet"], "expected one argument"),
]


@pytest.mark.parametrize(("options", "sentence"), WRONG, ids=" ".join)
def test_what_can_not_be_printed_is_one_sentence_and_no_file(
    argv: list[str], options: list[str], sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*argv, *options]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert sentence in err
    assert err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_a_folder_is_no_sheet(argv: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "job.pdf").mkdir()
    assert main([*argv, "--sheet", "job.pdf"]) == 2
    assert capsys.readouterr() == ("", "job.pdf is there and is no plain file: name another.\n")


def test_a_full_disk_leaves_what_was_there(
    argv: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    (tmp_path / "job.pdf").write_bytes(b"yesterday's")
    monkeypatch.setattr(os, "fsync", full)
    assert main([*argv, "--sheet", "job.pdf", "--json"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "no space left on device" in err
    assert (tmp_path / "job.pdf").read_bytes() == b"yesterday's"
    assert [path.name for path in tmp_path.iterdir()] == ["job.pdf"]


def test_two_processes_write_the_same_bytes(argv: list[str], tmp_path: Path) -> None:
    made = []
    for seed in ("1", "2"):
        subprocess.run(
            [sys.executable, "-m", "diagtree", *argv, "--sheet", "job.pdf"],
            check=True,
            capture_output=True,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
        )
        made.append((tmp_path / "job.pdf").read_bytes())
    assert made[0] == made[1]


CONTRADICTORY = """\
checks:
  look: {ask: Is it there?, hours: 0.1, slip: 0, answers: {yes: Yes, no: No}, given: {default: {yes: 0, no: 100}}}
---
faults:
  worn: {title: Worn, why: Age., repair: [], verify: [Look.]}
---
tree: t
title: T
weights: {worn: 1}
other: 0
start: look
nodes:
  look: {check: look, then: {yes: end, no: end}}
  end: {outcome: worn}
"""


def test_answers_that_contradict_one_another_give_no_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "library.yaml").write_text(CONTRADICTORY, encoding="utf-8")
    argv = ["estimate", "t", "--library", "library.yaml", "--answer", "look=yes", "--sheet", "e.pdf"]
    assert main(argv) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err == "The answers contradict one another: there is nothing to print. Take them again.\n"
    assert not (tmp_path / "e.pdf").exists()


def test_an_odd_clock_setting_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    for setting in ("soon", "-5", "9" * 40, ""):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", setting)
        assert main([*SCOPE, "--sheet", "job.pdf"]) == 0
        text = pypdf.PdfReader(io.BytesIO(Path("job.pdf").read_bytes())).pages[0].extract_text()
        assert "printed 20" in text
