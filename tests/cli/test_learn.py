"""`learn` and `export` on a store of jobs, as somebody uses them."""

import difflib
import json
import re
import shutil
from pathlib import Path

import pytest

from diagtree.cli import main
from diagtree.jobs.address import Address
from diagtree.jobs.store import Store, open_store
from diagtree.source.reader import read
from tests.jobs.test_counting import JOBS, fill

FOREIGN = Path(__file__).resolve().parents[1] / "foreign" / "pump"
# A number, or a word of a table, in a file of a library.
NUMBER = re.compile(
    r"(?<![a-z-])([0-9]+(\.[0-9]+)?|improbable|expected|uncertain|probable|impossible|certain|fifty-fifty)"
)


@pytest.fixture
def library(tmp_path: Path) -> Path:
    folder = tmp_path / "library"
    shutil.copytree(FOREIGN, folder)
    return folder


@pytest.fixture
def jobs(tmp_path: Path) -> str:
    """A store with jobs of all kinds."""
    path = str(tmp_path / "jobs.db")
    store = open_store(Address(path), making=True)
    assert isinstance(store, Store)
    fill(store, read(str(FOREIGN)).library, 7)
    store.close()
    return path


def ran(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    code = main(list(argv))
    out, err = capsys.readouterr()
    return code, out, err


def contents(folder: Path) -> dict[str, str]:
    return {path.name: path.read_bytes().decode() for path in sorted(folder.rglob("*.yaml"))}


def test_learning_shows_and_changes_nothing(library: Path, jobs: str, capsys: pytest.CaptureFixture[str]) -> None:
    before = contents(library)
    code, out, err = ran(capsys, "learn", "--library", str(library), "--jobs", jobs)
    assert (code, err) == (0, "")
    assert "would change" in out
    assert contents(library) == before
    data = json.loads(ran(capsys, "learn", "--library", str(library), "--jobs", jobs, "--json")[1])
    assert 0 < data["jobs"] < JOBS
    for one in data["changes"]:
        chance = one["probability"]
        assert chance["low"] <= chance["after"] <= chance["high"]
        assert one["cars"] >= 5


def test_what_is_written_are_numbers_and_nothing_else(
    library: Path, jobs: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = contents(library)
    given = ("learn", "--library", str(library), "--jobs", jobs, "--strength", "2")
    data = json.loads(ran(capsys, *given, "--json")[1])
    assert ran(capsys, *given, "--write", "--yes")[0] == 0
    after = contents(library)
    assert after != before
    assert {name: NUMBER.sub("0", text) for name, text in after.items()} == {
        name: NUMBER.sub("0", text) for name, text in before.items()
    }
    assert main(["vet", str(library)]) in {0, 1}
    found = capsys.readouterr().out
    assert "error" not in found
    told = {(Path(one["file"]).name, one["line"]) for one in data["changes"]}
    changed = {
        (name, at)
        for name in before
        for at, pair in enumerate(zip(before[name].splitlines(), after[name].splitlines(), strict=True), start=1)
        if pair[0] != pair[1]
    }
    assert changed == told


def test_a_patch_holds_the_same_and_leaves_the_files(
    library: Path, jobs: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = contents(library)
    patch = tmp_path / "learned.patch"
    given = ("learn", "--library", str(library), "--jobs", jobs)
    assert ran(capsys, *given, "--patch", str(patch))[0] == 0
    assert contents(library) == before
    assert ran(capsys, *given, "--write", "--yes")[0] == 0
    after = contents(library)
    expected = [
        line
        for name in before
        for line in difflib.unified_diff(before[name].splitlines(), after[name].splitlines(), lineterm="")
        if line[0] in "+-" and line[:3] not in {"+++", "---"}
    ]
    shown = [line for line in patch.read_text().splitlines() if line[0] in "+-" and line[:3] not in {"+++", "---"}]
    assert sorted(shown) == sorted(expected)


def test_nobody_who_can_say_yes_means_no(library: Path, jobs: str, capsys: pytest.CaptureFixture[str]) -> None:
    before = contents(library)
    code, _, err = ran(capsys, "learn", "--library", str(library), "--jobs", jobs, "--write")
    assert code == 2
    assert err.count("\n") == 1
    assert contents(library) == before


def test_parquet_parts_say_the_same_in_two_processes(
    library: Path, jobs: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    parts = tmp_path / "parts"
    parts.mkdir()
    code, out, _ = ran(capsys, "export", "--jobs", jobs, "--out", str(parts / "one.parquet"), "--json")
    assert code == 0
    assert json.loads(out)["rows"] > 0
    given = ("learn", "--library", str(library), "--json")
    here = ran(capsys, *given, "--jobs", jobs)[1]
    assert json.loads(ran(capsys, *given, "--parquet", str(parts))[1]) == json.loads(here)
    (parts / "two.parquet").write_bytes((parts / "one.parquet").read_bytes())
    twice = ran(capsys, *given, "--parquet", str(parts))[1]
    assert json.loads(twice)["jobs"] == 2 * json.loads(here)["jobs"]
    assert ran(capsys, *given, "--parquet", str(parts), "--workers", "2")[1] == twice


def test_no_jobs_are_no_lesson(library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    nowhere = str(tmp_path / "none.db")
    code, out, _ = ran(capsys, "learn", "--library", str(library), "--jobs", nowhere)
    assert code == 0
    assert "no closed jobs" in out
    assert not Path(nowhere).exists()


@pytest.mark.parametrize(
    "options",
    [
        ["learn", "--strength", "0"],
        ["learn", "--yes"],
        ["learn", "--workers", "2"],
        ["learn", "--parquet", "no-such-folder"],
        ["export", "--out", "net.xml"],
        ["export", "noisy-pump", "--out", "jobs.parquet"],
        ["export", "--out", "no-such-folder/jobs.parquet"],
    ],
)
def test_wrong_use_is_a_sentence(
    options: list[str], library: Path, jobs: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("DIAGTREE_JOBS", jobs)
    code, out, err = ran(capsys, *options, "--library", str(library))
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
