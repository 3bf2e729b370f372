"""`diagtree new`: a library to start from, and a tree more."""

import io
import json
import os
import shutil
import subprocess
import sys
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from diagtree.cli import main

ROOT = Path(__file__).parents[2]
FOREIGN = ROOT / "tests" / "foreign"
FILES = [
    "cautions.yaml",
    "checks.yaml",
    "cold-noise.yaml",
    "engine.yaml",
    "faults.yaml",
    "library.schema.json",
    "shop.yaml",
]


@pytest.fixture(autouse=True)
def _aside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each test stands in an empty folder, with nothing on standard input and no library named."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    monkeypatch.delenv("DIAGTREE_LIBRARY", raising=False)
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))


def names(folder: str) -> list[str]:
    return sorted(path.name for path in Path(folder).iterdir())


def read(capsys: pytest.CaptureFixture[str], *argv: str) -> Any:
    assert main([*argv, "--json"]) == 0, capsys.readouterr().err
    return json.loads(capsys.readouterr().out)


def vetted(capsys: pytest.CaptureFixture[str], library: str) -> list[dict[str, Any]]:
    """The problems of a library."""
    code = main(["vet", library, "--json"])
    problems: list[dict[str, Any]] = json.loads(capsys.readouterr().out)["problems"]
    assert code == (1 if problems else 0)
    return problems


def refused(capsys: pytest.CaptureFixture[str], *argv: str) -> str:
    """The sentence of a command that must write nothing."""
    before = sorted(map(str, Path().rglob("*")))
    assert main(["new", *argv]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert sorted(map(str, Path().rglob("*"))) == before
    return err.strip()


def test_a_folder_is_written_and_what_to_do_next_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", "first"]) == 0
    out, err = capsys.readouterr()
    assert out.splitlines() == [
        *(f"Wrote first/{name}" for name in FILES),
        "",
        "Next:",
        "  diagtree vet first",
        "  diagtree walk cold-noise --library first",
        "  diagtree help start",
    ]
    assert err == ""
    assert names("first") == FILES


def test_json_names_the_files(capsys: pytest.CaptureFixture[str]) -> None:
    assert read(capsys, "new", "first") == {"written": [f"first/{name}" for name in FILES]}


def test_the_folder_that_one_stands_in_is_filled(capsys: pytest.CaptureFixture[str]) -> None:
    assert read(capsys, "new", ".") == {"written": FILES}


@pytest.mark.parametrize("options", [[], ["--engine", "bench-four"]])
def test_what_was_written_vets_clean(capsys: pytest.CaptureFixture[str], options: list[str]) -> None:
    read(capsys, "new", "first", *options)
    assert read(capsys, "vet", "first")["problems"] == []


def test_a_path_with_blanks_is_quoted_in_what_to_do_next(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", "my first"]) == 0
    assert "  diagtree vet 'my first'\n" in capsys.readouterr().out


ANSWERS = {
    "oil-level": ("low", "ok"),
    "noise-length": ("short", "long"),
    "plunger-travel": ("5", "20"),
    "chain-slack": ("loose", "tight"),
}


@pytest.mark.parametrize(("build", "number"), [("early", "X-141"), ("late", "X-142")])
def test_every_way_through_its_tree_ends_in_what_the_tables_believe_and_a_scope(
    capsys: pytest.CaptureFixture[str], build: str, number: str
) -> None:
    read(capsys, "new", "first", "--engine", "bench-four")
    ends = set()
    for answers in product(*([*given, "?"] if check != "oil-level" else given for check, given in ANSWERS.items())):
        told = [f"--answer={check}={answer}" for check, answer in zip(ANSWERS, answers, strict=True) if answer != "?"]
        sys.stdin = io.StringIO("?\n" * 4)
        walk = read(
            capsys, "walk", "cold-noise", "--library", "first", "--engine", "bench-four", "--build", build, *told
        )
        ends.add(walk["outcome"]["node"])
        assert walk["scope"]["steps"]
        assert walk["scope"]["open"] == {}
        parts = {part["part"]: part["number"] for part in walk["scope"]["parts"]}
        assert parts.get("chain", number) == number
    assert ends == {"too-little-oil", "tired-tensioner", "long-chain", "either"}


@pytest.mark.parametrize(
    ("answers", "fault"),
    [
        ({"oil-level": "low"}, "oil-low"),
        ({"oil-level": "ok", "noise-length": "short"}, "tensioner-weak"),
        ({"oil-level": "ok", "noise-length": "long", "plunger-travel": "5"}, "tensioner-weak"),
        ({"oil-level": "ok", "noise-length": "long", "plunger-travel": "20"}, "chain-worn"),
    ],
)
def test_each_outcome_is_what_the_tables_believe_most(
    capsys: pytest.CaptureFixture[str], answers: dict[str, str], fault: str
) -> None:
    read(capsys, "new", "first")
    told = [f"--answer={check}={answer}" for check, answer in answers.items()]
    walk = read(capsys, "walk", "cold-noise", "--library", "first", *told)
    assert walk["outcome"]["faults"] == [fault]
    assert max(walk["belief"], key=lambda row: row["probability"])["fault"] == fault


def test_a_folder_or_a_file_that_is_there_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    Path("file").write_text("mine")
    Path("folder").mkdir()
    Path("folder/mine").write_text("mine")
    for name in ("file", "folder"):
        assert refused(capsys, name) == (
            f"'{name}' is there already, and not an empty folder. Name a new one: nothing is overwritten."
        )


@pytest.mark.parametrize(
    ("argv", "sentence"),
    [
        ([], "Say what to write: `diagtree new FOLDER` or `diagtree new --tree NAME --library DIR`."),
        (["a", "--tree", "b"], "Say what to write: `diagtree new FOLDER` or `diagtree new --tree NAME --library DIR`."),
        ([""], "Name a folder: `diagtree new FOLDER`."),
        (
            ["a", "--engine", "../b"],
            "'../b' can't be used as a name. Write an id: lower-case words joined by hyphens, such as oil-level.",
        ),
        (["a", "--library", "b"], "`--library` goes with `--tree`: a new folder is a library of its own."),
        (
            ["--tree", "a"],
            "Say which library with --library DIR: the demo that comes with diagtree stays as it is.",
        ),
        (
            ["missing/a"],
            (
                "'missing/a' can't be written: no such file or directory. Nothing was written. "
                "Name a place in a folder that takes files."
            ),
        ),
    ],
)
def test_wrong_use_is_one_sentence(capsys: pytest.CaptureFixture[str], argv: list[str], sentence: str) -> None:
    assert refused(capsys, *argv) == sentence


@pytest.mark.skipif(sys.platform == "win32", reason="a shell's limit stands in for a full disk")
def test_a_disk_that_takes_only_some_of_it_is_left_as_it_was() -> None:
    """The limit is 8 blocks of 1024 bytes a file: the schema does not fit, the files before it do."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        ["bash", "-c", f"ulimit -f 8; exec {sys.executable} -m diagtree new full"],
        capture_output=True,
        text=True,
        check=False,
        env=environment,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == (
        "'full' can't be written: file too large. Nothing was written. Name a place in a folder that takes files.\n"
    )
    assert names(".") == []


@pytest.mark.parametrize("trade", ["pump", "boiler", "first"])
def test_a_tree_more_vets_clean_with_the_rest_and_walks(capsys: pytest.CaptureFixture[str], trade: str) -> None:
    if trade == "first":
        read(capsys, "new", "first")
    else:
        shutil.copytree(FOREIGN / trade, trade)
    before = vetted(capsys, trade)
    schema = [] if trade == "first" else [f"{trade}/library.schema.json"]
    assert read(capsys, "new", "--tree", "strange-noise", "--library", trade)["written"] == [
        f"{trade}/strange-noise.yaml",
        *schema,
    ]
    assert vetted(capsys, trade) == before
    assert [problem for problem in before if problem["severity"] == "error" or trade == "first"] == []
    sys.stdin = io.StringIO("?\n" * 4)
    walk = read(capsys, "walk", "strange-noise", "--library", trade)
    assert walk["outcome"]["node"] == "cannot-tell"
    assert len(walk["outcome"]["faults"]) == 3


def test_a_tree_may_be_made_for_one_engine(capsys: pytest.CaptureFixture[str]) -> None:
    read(capsys, "new", "first")
    read(capsys, "new", "--tree", "one-more", "--library", "first", "--engine", "example-engine")
    assert "\nengines: [example-engine]\n" in Path("first/one-more.yaml").read_text()
    assert read(capsys, "vet", "first")["problems"] == []


def test_the_library_may_come_from_the_environment(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    read(capsys, "new", "first")
    monkeypatch.setenv("DIAGTREE_LIBRARY", "first")
    assert read(capsys, "new", "--tree", "one-more") == {"written": ["first/one-more.yaml"]}


@pytest.mark.parametrize(
    ("argv", "sentence"),
    [
        (
            ["../up"],
            "'../up' can't be used as a name. Write an id: lower-case words joined by hyphens, such as oil-level.",
        ),
        (["Big"], "'Big' can't be used as a name. Write an id: lower-case words joined by hyphens, such as oil-level."),
        (["cold-noise"], "The library has a tree 'cold-noise' already. Choose another name."),
        (
            ["oil-low"],
            "The library has a fault 'oil-low', and weights could not tell them apart. Choose another name.",
        ),
        (["other"], "The name 'other' has a meaning of its own in weights and tables. Choose another."),
        (["t", "--engine", "none"], "The library has no engine 'none'. There are: example-engine."),
        (["checks"], "'first/checks.yaml' is there already. Choose another name: nothing is overwritten."),
    ],
)
def test_a_tree_that_does_not_fit_is_one_sentence(
    capsys: pytest.CaptureFixture[str], argv: list[str], sentence: str
) -> None:
    read(capsys, "new", "first")
    assert refused(capsys, "--tree", *argv, "--library", "first") == sentence


def test_a_library_without_tables_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    Path("bare").mkdir()
    Path("bare/checks.yaml").write_text("checks: {c: {ask: Q, hours: 1, answers: {y: Yes, n: No}}}\n")
    assert refused(capsys, "--tree", "t", "--library", "bare") == (
        "No check of this library tells two of its faults apart so that a tree of them vets clean. "
        "Write checks with `given`, and the faults, first: `diagtree help files` says how."
    )


def test_a_library_of_one_file_takes_no_other(capsys: pytest.CaptureFixture[str]) -> None:
    shutil.copy(FOREIGN / "small.yaml", "small.yaml")
    assert refused(capsys, "--tree", "t", "--library", "small.yaml") == (
        "'small.yaml' is one file, and a tree more is another. Put it in a folder, and name that."
    )


def test_a_library_with_errors_gets_no_tree_more(capsys: pytest.CaptureFixture[str]) -> None:
    read(capsys, "new", "first")
    Path("first/faults.yaml").write_text("faults: 3\n")
    before = names("first")
    assert main(["new", "--tree", "t", "--library", "first"]) == 2
    assert capsys.readouterr().out == ""
    assert names("first") == before
