"""`drill` as a trainee and a trainer use it: from a pipe, and as a class."""

import csv
import io
import json
from pathlib import Path

import pytest

from diagtree.cli import main

PUMP = str(Path(__file__).resolve().parents[1] / "foreign" / "pump")
START = ["drill", "noisy-pump", "--library", PUMP, "--seed", "5"]


def played(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], typed: str, *options: str
) -> tuple[int, str, str]:
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    code = main([*START, *options])
    out, err = capsys.readouterr()
    return code, out, err


@pytest.fixture(name="fault")
def _fault(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> str:
    """A fault that can be named."""
    _, out, _ = played(monkeypatch, capsys, "faults\n")
    return out.split("> faults\n")[1].split()[0]


def test_a_drill_from_a_pipe_ends_in_what_each_choice_was_worth(
    fault: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = played(monkeypatch, capsys, f"1\n# a remark\n\ntree\nodds\npaid\nrepair {fault}\n")
    assert (code, err) == (0, "")
    assert "It was: " in out
    assert "1. " in out
    assert "--seed 5 --level usual" in out


def test_json_is_one_object_and_the_questions_go_elsewhere(
    fault: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = played(monkeypatch, capsys, f"1\nrepair {fault}\n", "--json")
    data = json.loads(out)
    assert code == 0
    assert len(data["choices"]) == 2
    assert data["repair"] == [fault]
    assert "> 1" in err


def test_wrong_words_are_told_and_asked_again(
    fault: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed = f"no-such-check\n999999\n٣\nrepair\nrepair \x1b[31m\nrepair {fault}\n"
    code, out, err = played(monkeypatch, capsys, typed)
    assert code == 0
    assert err.count("\n") == 5
    assert "\x1b" not in out + err
    assert "It was: " in out


def test_the_end_of_the_input_is_no_result(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = played(monkeypatch, capsys, "1\n")
    assert code == 0
    assert out.endswith("The drill was left. It has no result.\n")
    assert json.loads(played(monkeypatch, capsys, "1\n", "--json")[1])["left"] is True


def test_a_class_gets_the_same_cars_and_goes_on_another_day(
    fault: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    names, results, sheet = tmp_path / "class.txt", tmp_path / "results.jsonl", tmp_path / "sheet.csv"
    names.write_text("# the early shift\nAnn\n=Bert\n")
    given = ["--class", str(names), "--cars", "2", "--results", str(results), "--out", str(sheet), "--json"]
    once = f"1\nrepair {fault}\n"
    code, out, _ = played(monkeypatch, capsys, once * 3, *given)
    assert code == 0
    assert json.loads(out)["left"] == 1
    assert len(results.read_text().splitlines()) == 3
    code, out, _ = played(monkeypatch, capsys, once, *given[:-3])
    assert code == 0
    done = [json.loads(line) for line in results.read_text().splitlines()]
    assert sorted((one["name"], one["car"]) for one in done) == [("=Bert", 1), ("=Bert", 2), ("Ann", 1), ("Ann", 2)]
    # The same choices on the same car are worth the same.
    assert {one["regret"] for one in done if one["car"] == 1} == {done[0]["regret"]}
    assert {one["fault"] for one in done if one["car"] == 2} == {done[-1]["fault"]}
    assert "Ann" in out
    assert "more drill" not in out
    rows = list(csv.reader(sheet.read_text().splitlines()))
    assert sorted(row[0] for row in rows[1:]) == ["'=Bert", "Ann"]


@pytest.mark.parametrize(
    ("option", "content", "says"),
    [
        ("--class", "", "has no name"),
        ("--class", "Ann\nAnn\n", "stands twice"),
        ("--class", "Ann\x07\n", "is no name"),
        ("--results", "{}\n", "Line 1"),
        ("--results", '{"name": 3}\n', "Line 1"),
    ],
)
def test_a_wrong_file_is_told_in_a_sentence(  # noqa: PLR0917
    option: str,
    content: str,
    says: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path, names = tmp_path / "file", tmp_path / "names"
    path.write_text(content)
    names.write_text("Ann\n")
    more = ["--class", str(names)] if option == "--results" else []
    code, out, err = played(monkeypatch, capsys, "", option, str(path), *more)
    assert (code, out) == (2, "")
    assert says in err
    assert err.count("\n") == 1


def test_results_of_other_cars_are_not_mixed_in(
    fault: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    names, results = tmp_path / "class.txt", tmp_path / "results.jsonl"
    names.write_text("Ann\n")
    given = ["--class", str(names), "--cars", "1", "--results", str(results)]
    assert played(monkeypatch, capsys, f"repair {fault}\n", *given)[0] == 0
    code, out, err = played(monkeypatch, capsys, "", *given, "--level", "tricky")
    assert (code, out) == (2, "")
    assert "other cars" in err


@pytest.mark.parametrize(
    "options", [["--fault", "nothing"], ["--seed", "-1"], ["--cars", "0"], ["--results", "x"], ["--level", "hard"]]
)
def test_wrong_use_leaves_standard_output_empty(
    options: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = played(monkeypatch, capsys, "", *options)
    assert (code, out) == (2, "")
    assert err


def test_a_class_goes_on_only_with_the_same_cars(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Results of another build or fault are not mixed in; a list with a byte order mark is a list."""
    names, results = tmp_path / "class.txt", tmp_path / "results.jsonl"
    names.write_text("\ufeffKim\n")
    kept = {"name": "Kim", "car": 1, "tree": "noisy-pump", "engine": "tarn-pump", "build": "other", "seed": 4}
    kept |= {"level": "usual", "fault": "bearings-worn", "named": ["bearings-worn"], "mended": True, "failed": False}
    kept |= {"checks": 1, "hours": 0.5, "total": 50.0, "regret": 0.0}
    results.write_text(json.dumps(kept) + "\n")
    given = ["drill", "noisy-pump", "--library", str(PUMP), "--class", str(names), "--results", str(results)]
    assert main(given) == 2
    out, err = capsys.readouterr()
    assert not out
    assert "other cars" in err
    results.write_text(json.dumps(kept).replace("50.0", "NaN") + "\n")
    assert main(given) == 2
    assert "Line 1" in capsys.readouterr().err
