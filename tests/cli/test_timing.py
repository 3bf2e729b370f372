"""`diagtree timing`."""

import json
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from diagtree.cli import main
from diagtree.measure.patterns import posterior
from diagtree.model.engine import Cam, Timing
from diagtree.model.library import NOTICE
from diagtree.report.offset_drawing import as_svg
from diagtree.report.offsets import elongation, picture

LIBRARY = """\
engine: bench
title: Bench
timing:
  pitch: 8.0
  crank-teeth: 22
  cam-teeth: 44
  links: 156
  cams: {intake-1: {bank: 1, span: 310}, exhaust-1: {bank: 1, span: 310}}
  sensors: {crank: {teeth: 60, missing: 2}, intake-1: {teeth: 4}}
---
engine: bare
title: Bare
---
engine: open
title: No links
timing: {pitch: 8.0, crank-teeth: 22, cam-teeth: 44, cams: {cam: {bank: 1, span: 310}}}
"""
CHECK = """\
---
checks:
  o: {ask: Offsets?, hours: 0.1, offsets: {uncertainty: 3}, answers: {none: Right, mixed: Other}}
"""
OFFSETS = ["--offset", "intake-1=-4", "--offset", "exhaust-1=-3"]


@pytest.fixture(autouse=True)
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    made = tmp_path / "library.yaml"
    made.write_text(LIBRARY, encoding="utf-8")
    monkeypatch.setenv("DIAGTREE_LIBRARY", str(made))
    return made


def out(capsys: pytest.CaptureFixture[str], *argv: str) -> str:
    assert main(["timing", *argv]) == 0
    said, err = capsys.readouterr()
    assert err == ""
    return said


def test_json_without_offsets_is_the_geometry(capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(out(capsys, "bench", "--json"))
    assert data["pitch_diameter"] == pytest.approx({"crank": 56.213393, "cam": 112.140336}, abs=5e-7)
    assert data["degrees_per_tooth"] == pytest.approx(360 / 22)
    assert data["realign_crank_turns"] == 78
    assert (data["patterns"], data["elongation"], data["measure_again"]) == ({}, None, None)
    assert data["camshafts"]["intake-1"]["elongation_to_degrees"] * 0.01 == pytest.approx(6.335523, abs=5e-7)
    assert data["notice"] == NOTICE


def test_links_that_are_not_written_never_meet(capsys: pytest.CaptureFixture[str]) -> None:
    assert json.loads(out(capsys, "open", "--json"))["realign_crank_turns"] is None
    assert "Marked links" not in out(capsys, "open")


def test_json_with_offsets_weighs_the_patterns(capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(out(capsys, *OFFSETS, "--uncertainty", "2", "bench", "--json"))
    assert data["patterns"] == pytest.approx(
        {
            "none": 2.83734e-05,
            "stretched": 0.829433,
            "all-together": 0.135864,
            "one-cam": 0.00279852,
            "mixed": 0.031876,
        },
        rel=1e-5,
    )
    assert data["elongation"] == pytest.approx({"estimate": 0.005524408, "low": 0.0033369, "high": 0.0077119}, abs=5e-8)
    assert (data["clear"], data["likeliest"], data["uncertainty"]) == (False, "stretched", 2.0)
    assert data["camshafts"]["exhaust-1"]["offset"] == -3.0
    alone = data["camshafts"]["exhaust-1"]["elongation_alone"]
    assert alone == pytest.approx({"estimate": 3 / 633.5522872, "uncertainty": 2 / 633.5522872})


def test_the_library_s_check_says_how_sure_offsets_are(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text(LIBRARY + CHECK, encoding="utf-8")
    assert json.loads(out(capsys, "bench", *OFFSETS, "--json"))["uncertainty"] == 3.0


def test_people_read_the_figures_and_a_picture(capsys: pytest.CaptureFixture[str]) -> None:
    text = out(capsys, "bench", *OFFSETS, "--uncertainty", "2")
    assert "Crank sprocket: 22 teeth, pitch diameter 56.21 mm." in text
    assert "Timing drives are often condemned near 1 % (common practice, no source)." in text
    assert "The pattern is not clear: 'stretched' holds 83 % of the weight" in text
    assert "If the chain has grown longer: about 0.6 %" in text
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 80
    assert NOTICE in " ".join(text.split())


def test_an_elongation_against_the_end_reads_two_per_cent_or_more(capsys: pytest.CaptureFixture[str]) -> None:
    far = ["--offset", "intake-1=-14", "--offset", "exhaust-1=-14 deg", "--uncertainty", "2 deg"]
    assert "If the chain has grown longer: 2 % or more." in out(capsys, "bench", *far)


@pytest.mark.parametrize(
    ("argv", "sentence"),
    [
        (["bnech"], "The library has no engine 'bnech'. The nearest is 'bench'."),
        (["bare"], "'bare' has no `timing`: its chain drive is not written. There are: bench, open."),
        (["bench", "--offset", "inlet=3", "--uncertainty", "2"], "'inlet' is no camshaft of this engine"),
        (["bench", "--offset", "intake-1=3", "--uncertainty", "2"], "No offset for exhaust-1."),
        (["bench", "--offset", "intake-1=nan", "--uncertainty", "2"], "'nan' does not start with a number."),
        (["bench", "--offset", "intake-1=inf", "--uncertainty", "2"], "'inf' does not start with a number."),
        (["bench", "--offset", "intake-1=1e9", "--uncertainty", "2"], "is more than a turn."),
        (["bench", *OFFSETS, "--offset", "intake-1=3", "--uncertainty", "2"], "'intake-1' stands twice."),
        (["bench", *OFFSETS, "--uncertainty", "0"], "'0' is no uncertainty."),
        (["bench", *OFFSETS, "--uncertainty", "-2"], "'-2' is no uncertainty."),
        (["bench", *OFFSETS, "--uncertainty", "nan"], "'nan' does not start with a number."),
        (["bench", *OFFSETS, "--uncertainty", "2 mm"], "'mm' is no angle."),
        (["bench", *OFFSETS], "Say how sure each offset is with --uncertainty"),
        (["bench", "--uncertainty", "2"], "--uncertainty is that of offsets."),
        (["bench", "--offset", ""], "No offset for intake-1, exhaust-1."),
    ],
)
def test_what_does_not_fit_is_one_sentence(argv: list[str], sentence: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["timing", *argv]) == 2
    said, err = capsys.readouterr()
    assert said == ""
    assert sentence in err
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("sensors", "line"),
    [
        ("{crank: {teeth: 60, missing: 60}}", "60 missing of 60 teeth leave none. Write fewer."),
        ("{inlet: {teeth: 4}}", "'inlet' is no camshaft of this drive. Write crank, or one of its `cams`."),
        ("{crank: {teeth: 0}}", "0 stands here."),
        ("{intake-1: {teeth: 4, rises: [10, 200]}}", "2 edges are written for 4 teeth. Write one for each tooth."),
        ("{intake-1: {teeth: 1, edges: [721]}}", "721 stands here."),
        ("{crank: {teeth: 60, missing: 2, edge: upper}}", "leading"),
        ("{crank: {missing: 2}}", "The key 'teeth' is missing."),
    ],
)
def test_a_trigger_wheel_that_cannot_be_is_a_problem(
    sensors: str, line: str, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file.write_text(
        LIBRARY.replace("{crank: {teeth: 60, missing: 2}, intake-1: {teeth: 4}}", sensors), encoding="utf-8"
    )
    assert main(["timing", "bench"]) == 2
    assert line in capsys.readouterr().err


# The pictures

PAIR = Timing(8.0, 22, 44, {"intake-1": Cam("intake-1", 1, 310.0), "exhaust-1": Cam("exhaust-1", 1, 310.0)})


def test_each_offset_stands_in_its_place_on_the_tooth_grid() -> None:
    rows = picture(PAIR, {"intake-1": -360 / 22, "exhaust-1": 0.0}, 0.0, 80)
    late, right = rows[1], rows[2]
    assert late.index("*") < late.index("|") < late.rindex(":")
    assert right.count("*") == 1
    assert "|" not in right  # the offset hides the middle
    assert late.endswith("-16.4 deg")
    assert right.index("*") == late.index("|")


@pytest.mark.parametrize("columns", [20, 30, 40, 60, 80, 200])
@pytest.mark.parametrize("degrees", [0.0, -4.0, 33.0, -360.0, 360.0])
def test_a_picture_keeps_to_its_columns(columns: int, degrees: float) -> None:
    *rows, legend = picture(PAIR, {"intake-1": degrees, "exhaust-1": -degrees}, 2.0, columns)
    assert all(row.isascii() for row in (*rows, legend))
    assert max(map(len, rows)) <= max(columns, len("exhaust-1 -360.0 deg"))


def test_the_drawing_is_sound_svg_with_labels_escaped() -> None:
    text = as_svg(PAIR, {"<b>&\"'": -4.0, "exhaust-1": 360.0}, 2.0)
    root = ET.fromstring(text)  # noqa: S314  # our own text
    assert root.get("role") == "img"
    names = [node.text for node in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "<b>&\"'" in names
    assert len(list(root.iter("{http://www.w3.org/2000/svg}circle"))) == 2
    assert "<b>" not in text


@pytest.mark.parametrize(
    ("offset", "said"), [(-6.3355, "about 1.0 %"), (-12.4, "2 % or more"), (-14.0, "2 % or more"), (5.0, "under 0.1 %")]
)
def test_elongation_in_words(offset: float, said: str) -> None:
    words = elongation(posterior(PAIR, {"intake-1": offset, "exhaust-1": offset}, 2.0))
    assert said in words
