"""Answers that stand in files: traces of the sensors, and scan tools' reports."""

import io
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from diagtree.cli import main
from tests.measure.engines import Engine, as_csv, trace

if TYPE_CHECKING:
    from diagtree.measure.traces import Way

LIBRARY = """\
shop: bench
name: Bench
currency: EUR
labour-rate: 60
tax: 0
goodwill: 0
units: [kPa]
---
engine: twin
title: Twin
timing:
  pitch: 8.0
  crank-teeth: 22
  cam-teeth: 44
  cams: {intake-1: {bank: 1, span: 310}, exhaust-1: {bank: 1, span: 310}}
  sensors:
    crank: {teeth: 60, missing: 2}
    intake-1: {teeth: 4}
    exhaust-1: {teeth: 4}
work:
  mend: {title: Mend, hours: 1}
---
codes: {P0016: Crank and cam do not agree}
---
checks:
  offsets:
    ask: Offsets?
    hours: 0.3
    offsets: {uncertainty: 2.0}
    answers: {none: Right, stretched: Late, all-together: Alike, one-cam: One, mixed: Other}
    given: {right: {none: 96, stretched: 1, all-together: 1, one-cam: 1, mixed: 1}, jumped: [none]}
  stored:
    ask: Codes?
    hours: 0.1
    codes: true
    answers: {cam: [[P0016, P0017]], other: []}
    given: {right: 10, jumped: 90}
  pressure:
    ask: Pressure?
    hours: 0.1
    reading: {unit: psi, uncertainty: 1}
    plausible: {from: 0, to: 150}
    answers: {low: {below: 15, is: Low}, ok: {from: 15, is: Right}}
    given: {right: 10, jumped: 20}
---
faults:
  right: {title: Nothing, why: Nothing., repair: [], verify: [Drive.]}
  jumped: {title: Jumped chain, why: Slack., repair: [mend], verify: [Turn it by hand.]}
---
tree: t
title: T
weights: {right: 50, jumped: 50}
start: offsets
nodes:
  offsets: {check: offsets, then: {none: stored, stretched: bad, all-together: bad, one-cam: bad, mixed: bad}}
  stored: {check: stored, then: {cam: pressure, other: pressure}}
  pressure: {check: pressure, then: {low: bad, ok: good}}
  good: {outcome: right}
  bad: {outcome: jumped}
""".replace("jumped: [none]}", "jumped: {none: 5, stretched: 20, all-together: 60, one-cam: 10, mixed: 5}}")
SCAN = """\
Report of 25.11.2026, 14:05
P0016 - 00  camshaft position, bank 1, stored 3 times
 freeze frame: 1850 rpm, 92 C, load 31.4 %
u0100 lost communication; P1ABC maker's own
"""
TRUE = {"intake-1": -16.5, "exhaust-1": -16.2}


@pytest.fixture(autouse=True)
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a library, a good trace, one of a chain that jumped by a tooth, and a scan tool's report."""
    rng = np.random.default_rng(4)
    both: tuple[Way, Way] = ("rising", "falling")
    (tmp_path / "library.yaml").write_text(LIBRARY, encoding="utf-8")
    (tmp_path / "good.csv").write_text(as_csv(trace(Engine(), rng, both)), encoding="utf-8")
    (tmp_path / "bad.csv").write_text(as_csv(trace(Engine(TRUE), rng, both)), encoding="utf-8")
    (tmp_path / "scan.txt").write_text(SCAN, encoding="utf-8")
    monkeypatch.setenv("DIAGTREE_LIBRARY", "library.yaml")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def said(capsys: pytest.CaptureFixture[str], *argv: str) -> str:
    assert main(list(argv)) == 0, capsys.readouterr().err
    out, err = capsys.readouterr()
    assert err == ""
    return out


def data(capsys: pytest.CaptureFixture[str], *argv: str) -> dict[str, Any]:
    """The JSON object; a walk has its questions on standard error, and no input."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sys.stdin", io.StringIO())
        assert main([*argv, "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def refused(capsys: pytest.CaptureFixture[str], *argv: str) -> str:
    assert main(list(argv)) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    return err


# timing --trace


def test_a_trace_gives_offsets_patterns_and_elongation(capsys: pytest.CaptureFixture[str]) -> None:
    found = data(capsys, "timing", "twin", "--trace", "bad.csv", "--good", "good.csv")
    assert found["likeliest"] == "all-together"
    assert found["uncertainty"] == 2.0  # the check's, which is larger than the scatter
    assert found["trace"]["turns"] >= 18
    for name, true in TRUE.items():
        place = found["trace"]["camshafts"][name]
        assert place["low"] <= place["offset"] == found["camshafts"][name]["offset"] <= place["high"]
        assert place["offset"] == pytest.approx(true, abs=2 * place["uncertainty"])
    assert found["trace"]["doubts"] == []


def test_the_larger_uncertainty_counts(capsys: pytest.CaptureFixture[str]) -> None:
    trace_of = ("timing", "twin", "--trace", "bad.csv", "--good", "good.csv")
    assert data(capsys, *trace_of, "--uncertainty", "5")["uncertainty"] == 5.0
    own = data(capsys, *trace_of, "--uncertainty", "0.001")
    assert own["uncertainty"] == own["trace"]["uncertainty"] > 0.001


def test_without_a_trace_there_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert data(capsys, "timing", "twin")["trace"] is None


def test_people_see_the_edges_in_plain_characters(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "timing", "twin", "--trace", "bad.csv", "--good", "good.csv")
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 80
    rows = [line for line in text.splitlines() if " good  " in line or " trace  " in line]
    good, seen = rows[0], rows[1]
    assert (good.count("|"), seen.count("*")) == (8, 8)
    # A camshaft that is late by 16 of 720 degrees: its first edge stands one or two cells to the right.
    assert 1 <= seen.index("*") - good.index("|") <= 2
    assert "95 of 100 such intervals hold the true offset" in text


def test_the_drawing_is_sound_and_without_colour(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said(capsys, "timing", "twin", "--trace", "bad.csv", "--good", "good.csv", "--svg", "o.svg")
    text = (bench / "o.svg").read_text(encoding="utf-8")
    root = ET.fromstring(text)  # noqa: S314  # our own text
    assert root.get("role") == "img"
    assert len(list(root.iter("{http://www.w3.org/2000/svg}circle"))) == 16
    assert {word for word in text.split('"') if word.startswith("#")} <= {"#000", "#fff"}


def test_a_good_trace_alone_prints_what_the_library_may_keep(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kept = data(capsys, "timing", "twin", "--good", "good.csv")["pattern"]
    assert kept["edge"] == "leading"
    text = said(capsys, "timing", "twin", "--good", "good.csv")
    changed = LIBRARY.replace("missing: 2}", "missing: 2, edge: leading}")
    for name in TRUE:
        keys = next(line for line in text.splitlines() if line.strip().startswith(f"{name}:"))
        changed = changed.replace(f"{name}: {{teeth: 4}}", f"{name}: {{teeth: 4, {keys.partition('..., ')[2]}")
    (bench / "library.yaml").write_text(changed, encoding="utf-8")
    by_pattern = data(capsys, "timing", "twin", "--trace", "bad.csv")["trace"]["camshafts"]
    assert by_pattern["intake-1"]["offset"] == pytest.approx(TRUE["intake-1"], abs=0.3)
    assert data(capsys, "walk", "t", "--answer", "offsets=@bad.csv")["answers"] == {"offsets": "all-together"}


@pytest.mark.parametrize(
    ("argv", "sentence"),
    [
        (["--trace", "bad.csv"], "No good engine is known to compare with"),
        (["--trace", "nosuch.csv"], "'nosuch.csv' can't be read: No such file or directory."),
        (["--trace", ".", "--good", "good.csv"], "'.' is no plain file."),
        (["--trace", "empty.csv", "--good", "good.csv"], "'empty.csv': The trace is empty."),
        (["--trace", "large.csv", "--good", "good.csv"], "'large.csv' is larger than 8 MB."),
        (["--trace", "bytes.csv", "--good", "good.csv"], "'bytes.csv' is no text."),
        (["--trace", "bad.csv", "--offset", "intake-1=1"], "--offset and --trace both say where"),
        (["--svg", "o.svg"], "--svg draws a trace."),
        (["--good", "good.csv", "--svg", "o.svg"], "--good alone prints a pattern."),
        (["--trace", "bad.csv", "--good", "good.csv", "--svg", "no/o.svg"], "no/o.svg cannot be written"),
        (["--trace", "bad.csv", "--good", "good.csv", "--uncertainty", "0"], "'0' is no uncertainty."),
    ],
)
def test_what_cannot_be_used_is_one_sentence(
    argv: list[str], sentence: str, bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (bench / "empty.csv").write_text("")
    (bench / "large.csv").write_bytes(b"0" * (50 * 1024 * 1024))
    (bench / "bytes.csv").write_bytes(b"\x89PNG\0\0")
    assert sentence in refused(capsys, "timing", "twin", *argv)


# In a walk


def walked(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *lines: str) -> tuple[str, str]:
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    assert main(["walk", "t"]) == 0
    out, err = capsys.readouterr()
    return " ".join(out.split()), " ".join(err.split())


@pytest.mark.parametrize(
    "typed", ["trace bad.csv against good.csv", "@bad.csv against good.csv", "offsets=@bad.csv against good.csv"]
)
def test_a_trace_answers_a_question(
    typed: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    out, err = walked(capsys, monkeypatch, typed)
    assert "Outcome: Jumped chain" in out
    assert err == ""


def test_a_trace_that_scatters_widely_says_so(
    bench: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = np.random.default_rng(8)
    made = trace(Engine(TRUE, turns=6.6, jitter=0.7, dropped=0.0), rng, ("rising",))
    good = trace(Engine(turns=6.6, jitter=0.7, dropped=0.0), rng, ("rising",))
    (bench / "wide.csv").write_text(as_csv(made), encoding="utf-8")
    (bench / "rough.csv").write_text(as_csv(good), encoding="utf-8")
    (bench / "library.yaml").write_text(LIBRARY.replace("uncertainty: 2.0", "uncertainty: 0.5"), encoding="utf-8")
    out, err = walked(capsys, monkeypatch, "trace wide.csv against rough.csv")
    assert err == ""
    assert re.search(r"crank degrees, each within (0\.[5-9]|1\.[0-9])", out)
    assert "Mind: Only one edge of the crank's teeth is known." in out


def test_a_job_goes_on_with_the_trace_s_offsets_when_the_file_is_gone(
    bench: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """With their uncertainty, which is larger than the check's."""
    (bench / "library.yaml").write_text(LIBRARY.replace("uncertainty: 2.0", "uncertainty: 0.01"), encoding="utf-8")
    kept = ("walk", "t", "--jobs", "jobs.sqlite", "--job", "7", "--json")
    monkeypatch.setattr("sys.stdin", io.StringIO("trace bad.csv against good.csv\n"))
    assert main(list(kept)) == 0
    first = json.loads(capsys.readouterr().out)
    (bench / "bad.csv").unlink()
    monkeypatch.setattr("sys.stdin", io.StringIO())
    assert main(list(kept)) == 0
    second = json.loads(capsys.readouterr().out)
    assert second["offsets"] == first["offsets"]
    assert second["patterns"] == first["patterns"]


def test_a_trace_of_too_few_camshafts_is_refused(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = (bench / "bad.csv").read_text(encoding="utf-8").splitlines()
    (bench / "half.csv").write_text("\n".join(line for line in lines if "exhaust" not in line), encoding="utf-8")
    assert "'half.csv' gives no offset for exhaust-1." in refused(
        capsys, "next", "t", "--answer", "offsets=@half.csv against good.csv"
    )


def test_a_report_of_a_scan_tool_answers_a_check_of_codes(capsys: pytest.CaptureFixture[str]) -> None:
    found = data(capsys, "walk", "t", "--answer", "offsets=none", "--answer", "stored=@scan.txt")
    assert found["answers"]["stored"] == "cam"
    assert found["codes"]["stored"] == ["P0016", "U0100", "P1ABC"]


def test_codes_among_words_may_be_typed_and_are_shown_with_their_titles(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    out, err = walked(capsys, monkeypatch, "none", "stored: p0016 and U0100, engine speed 1850")
    assert "P0016 (Crank and cam do not agree) and U0100: cam." in out
    assert err == ""


def test_words_without_a_code_are_asked_again_and_none_is_said_outright(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    out, err = walked(capsys, monkeypatch, "none", "no faults found", "P0016 P4000", "-")
    assert "No trouble code stands in 'no faults found'. Type the codes, such as P0016+P0018, or - if none" in err
    assert "'P4000' is no trouble code" in err
    assert "No code stored: other." in out
    assert data(capsys, "walk", "t", "--answer", "offsets=none", "--answer", "stored=")["codes"] == {"stored": []}


def test_a_report_without_codes_is_refused(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (bench / "none.txt").write_text("No codes stored.\n", encoding="utf-8")
    assert "No trouble code stands in" in refused(capsys, "walk", "t", "--answer", "stored=@none.txt")


def test_a_file_answers_no_other_check(capsys: pytest.CaptureFixture[str]) -> None:
    assert "A file answers a check of trouble codes or of camshaft offsets only." in refused(
        capsys, "walk", "t", "--answer", "pressure=@scan.txt"
    )


# Readings as shown


def test_readings_are_shown_in_the_shop_s_unit_with_the_book_s_in_brackets(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    out, _ = walked(capsys, monkeypatch, "none", "-", "14.5")
    assert "Low (below 103 kPa (15 psi))" in out
    assert "Right (103 kPa (15 psi) or more)" in out
    # U = 1 psi is 6.9 kPa: a tenth of a kilopascal is all that may be said.
    assert "100.0 kPa (14.5 psi): Low." in out
    assert "Clear are readings below 97.7 or from 109.1 kPa (below 14.1 or from 15.9 psi)." in out


def test_a_reading_outside_the_plausible_range_is_refused_with_the_range(capsys: pytest.CaptureFixture[str]) -> None:
    assert refused(capsys, "walk", "t", "--answer", "pressure=2000 kPa") == (
        "2000 kPa is not plausible here (it should be from 0 to 150 psi). Read the gauge again.\n"
    )
    assert data(capsys, "walk", "t", "--answer", "pressure=150")["readings"]["pressure"]["value"] == 150


# Too close to call, told by `next` too


def test_next_says_what_is_too_close_to_call(capsys: pytest.CaptureFixture[str]) -> None:
    known = ("next", "t", "--answer", "offsets=intake-1:-4,exhaust-1:-3", "--answer", "pressure=15.2")
    text = " ".join(said(capsys, *known).split())
    assert "The pattern is not clear: 'stretched' holds" in text
    assert "Measure exhaust-1 again" in text or "Measure intake-1 again" in text
    assert "Clear are readings below 97.7 or from 109.1 kPa" in text
    assert data(capsys, *known)["close_call"] == ["offsets", "pressure"]
