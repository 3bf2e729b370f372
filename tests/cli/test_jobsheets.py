"""The job sheet of a walk's outcome, from the walk itself and from its job; the estimate of a job."""

import io
import json
import re
from pathlib import Path

import pypdf
import pytest

from diagtree.cli import main
from diagtree.source.reader import read

LIBRARY = """\
shop: bay
name: Trial (invented)
currency: EUR
tax: 0.2
labour-rate: 60
goodwill: 100
---
cautions: {hot: {say: Hot oil., level: warn}}
---
checks:
  look: {ask: Is it wet?, hours: 0.1, answers: {wet: Wet, dry: Dry}, given: {seal: 95, pump: 5}}
  press:
    ask: Pressure at the port?
    hours: 0.2
    behind: [cover]
    reading: {unit: kPa, uncertainty: 4}
    answers: {low: {below: 100, is: Low}, ok: {from: 100, is: Fine}}
    given: {pump: {low: 95, ok: 5}, seal: {low: 5, ok: 95}}
---
faults:
  seal: {title: Seal leaks, why: Age., repair: [renew-seal], verify: [Look.]}
  pump: {title: Pump worn, why: Wear., repair: [renew-pump], verify: [Look.]}
---
engine: small
title: Small
work:
  cover: {title: Take the cover off, hours: 1, cautions: [hot]}
  renew-seal: {title: Renew the seal, hours: 0.5}
  renew-pump: {title: Renew the pump, hours: 1, after: [cover]}
---
tree: leak
title: Leak
weights: {seal: 60, pump: 40}
other: 0
start: look
nodes:
  look: {check: look, then: {wet: seal, dry: press}}
  press: {check: press, then: {low: pump, ok: seal}}
  seal: {outcome: seal}
  pump: {outcome: pump}
"""
WALK = ["walk", "leak", "--library", "library.yaml"]


@pytest.fixture(autouse=True)
def _where(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "library.yaml").write_text(LIBRARY, encoding="utf-8")
    assert not read(str(tmp_path / "library.yaml")).problems
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1764028800")  # 2025-11-25
    monkeypatch.setenv("DIAGTREE_JOBS", str(tmp_path / "jobs.db"))


def walked(monkeypatch: pytest.MonkeyPatch, typed: str, *options: str) -> int:
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    return main([*WALK, *options])


def words(file: str) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(file, strict=True).pages)


def test_a_walk_prints_its_outcome_with_what_was_found(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    given = ["--job", "A-7", "--vehicle", "Blue van", "--sheet", "job.pdf"]
    assert walked(monkeypatch, "dry\n80\n", *given) == 0
    assert "Wrote job.pdf: " in capsys.readouterr().out
    text = words("job.pdf")
    for said in ("Pump worn", "A-7", "Blue van", "Is it wet? Dry", "80 kPa", "Initials", "Tree Leak"):
        assert said in text
    assert re.search(r"On the poster [A-Z]+\d+", text)
    assert "What was opened for checks is closed again" in text


def test_the_code_on_the_sheet_goes_on_with_the_walk(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert walked(monkeypatch, "dry\n80\n", "--json", "--sheet", "job.pdf") == 0
    first = json.loads(capsys.readouterr().out)
    assert first.pop("sheet")["file"] == "job.pdf"
    letters = "".join(words("job.pdf").split("Tree Leak")[0].split() + words("job.pdf").split("Tree Leak")[1].split())
    found = re.search(r"(?:[0-9A-Z]{6}-){2,}[0-9A-Z]+", letters)
    assert found
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    assert main(["walk", "--library", "library.yaml", "--from", code_in(found.group()), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["answers"] == first["answers"]


def code_in(letters: str) -> str:
    """The code without the letters that the page's next word begins with."""
    from diagtree.jobs.code import Damaged, unseal

    ends = (letters[:end] for end in range(len(letters), 10, -1))
    return next(text for text in ends if not isinstance(unseal(text), Damaged))


def test_the_walk_the_scope_and_the_job_print_the_same_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    assert walked(monkeypatch, "dry\n80\n", "--job", "A-7", "--sheet", "walk.pdf") == 0
    common = ["--library", "library.yaml"]
    assert main(["scope", "--job", "A-7", "--sheet", "scope.pdf", *common]) == 0
    assert main(["jobs", "show", "A-7", "--sheet", "show.pdf", *common]) == 0
    sheets = {Path(f"{name}.pdf").read_bytes() for name in ("walk", "scope", "show")}
    assert len(sheets) == 1


def test_the_doubt_of_a_walk_is_on_its_sheet_its_jobs_and_its_scope(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Dry outside speaks against the seal, and the pressure against the pump: no one cause."""
    assert walked(monkeypatch, "dry\n150\n", "--job", "A-8", "--sheet", "walk.pdf", "--json") == 0
    first = json.loads(capsys.readouterr().out)
    assert main(["scope", "--job", "A-8", "--json", "--library", "library.yaml"]) == 0
    alone = json.loads(capsys.readouterr().out)
    keys = ("residual", "conflict", "contradiction")
    assert [alone[key] for key in keys] == [first[key] for key in keys]
    assert alone["conflict"] > 1
    assert main(["scope", "--job", "A-8", "--library", "library.yaml"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    sheet = " ".join(words("walk.pdf").split())
    for said in (text, sheet):
        assert "The answers do not fit one cause. Look for two, or take the doubtful answers again." in said
        assert "such cars would come back with another cause." in said
    assert sheet.index("Is it wet? Dry. (Poster:") < sheet.index("Pressure at the port? 150 kPa: Fine. (Poster:")
    assert text.index("do not fit") < text.index("Repair scope:")


def test_the_foot_tells_one_library_from_another(tmp_path: Path) -> None:
    def figure() -> str:
        assert main(["scope", "seal", "--library", "library.yaml", "--sheet", "job.pdf"]) == 0
        found = re.search(r"library ([0-9a-f]{8}) ", words("job.pdf"))
        assert found
        return found.group(1)

    first = figure()
    (tmp_path / "library.yaml").write_text(f"# A remark.\n{LIBRARY}", encoding="utf-8")
    assert figure() == first
    (tmp_path / "library.yaml").write_text(LIBRARY.replace("hours: 0.5", "hours: 0.6"), encoding="utf-8")
    assert figure() != first


def test_named_faults_beside_a_job_have_its_residual(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert walked(monkeypatch, "wet\n", "--job", "A-9") == 0
    capsys.readouterr()
    common = ["--job", "A-9", "--library", "library.yaml", "--json"]
    found = {}
    for fault in ("seal", "pump"):
        assert main(["scope", fault, *common]) == 0
        found[fault] = json.loads(capsys.readouterr().out)["residual"]
    assert found["seal"] == pytest.approx(1 - found["pump"])
    assert found["seal"] < 0.1
    assert main(["scope", "seal", "--library", "library.yaml", "--json"]) == 0
    assert "residual" not in json.loads(capsys.readouterr().out)  # no walk, no belief


def test_a_job_whose_faults_are_named_comes_from_no_tree(monkeypatch: pytest.MonkeyPatch) -> None:
    assert walked(monkeypatch, "dry\n", "--job", "A-7") == 0
    assert main(["scope", "seal", "--job", "A-7", "--sheet", "job.pdf", "--library", "library.yaml"]) == 0
    text = words("job.pdf")
    assert "A-7" in text
    assert "Is it wet? Dry" in text
    assert "Tree Leak" not in text


def test_no_outcome_is_no_sheet(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert walked(monkeypatch, "dry\n", "--job", "A-7", "--sheet", "job.pdf", "--json") == 1
    out, err = capsys.readouterr()
    assert json.loads(out)["sheet"] is None
    assert err.endswith("No sheet was written: the walk has come to no outcome.\n")
    for argv in (["scope", "--job", "A-7"], ["jobs", "show", "A-7", "--sheet", "job.pdf"], ["scope"]):
        assert main([*argv, "--library", "library.yaml"]) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert err.count("\n") == 1
    assert not Path("job.pdf").exists()


def test_a_sheet_of_another_kind_is_refused_before_the_walk(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert walked(monkeypatch, "dry\n80\n", "--job", "A-7", "--sheet", "job.png") == 2
    assert capsys.readouterr() == ("", "'job.png' is no name for a sheet: end it in .pdf.\n")
    assert not Path("jobs.db").exists()


def test_the_estimate_of_a_job_says_what_was_agreed(monkeypatch: pytest.MonkeyPatch) -> None:
    assert walked(monkeypatch, "dry\n", "--job", "A-7", "--vehicle", "Blue van") == 0
    common = ["--library", "library.yaml"]
    stage = ["--stage", "diagnosis", "--amount", "120", "--by", "the owner"]
    assert main(["jobs", "authorise", "A-7", *stage, *common]) == 0
    assert main(["jobs", "decline", "A-7", "renew-seal", *common]) == 0
    assert main(["estimate", "--job", "A-7", "--lines", "--sheet", "estimate.pdf", *common]) == 0
    text = words("estimate.pdf")
    for said in (
        "A-7",
        "Blue van",
        "Is it wet? Dry",
        "120.00 EUR, by the owner",
        "Declined by the customer: Renew the",
    ):
        assert said in text


def test_a_poster_is_drawn_whatever_the_clock_setting(monkeypatch: pytest.MonkeyPatch) -> None:
    for setting in ("soon", "-5", "9" * 40, ""):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", setting)
        assert main(["draw", "leak", "--out", "leak.pdf", "--library", "library.yaml"]) == 0
