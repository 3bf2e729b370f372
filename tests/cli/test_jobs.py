"""Jobs as a workshop uses them: by command, in a pipe, on a terminal, from paper."""

import csv
import io
import json
import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pexpect
import pytest

from diagtree.cli import main

ROOT = Path(__file__).resolve().parents[2]
PUMP = str(ROOT / "tests" / "foreign" / "pump")
NOISE = ("rumble", "clear", "free", "0.3 mm")

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """The program with a store and a library of its own; what is typed comes through a pipe."""
    monkeypatch.setenv("DIAGTREE_LIBRARY", PUMP)
    monkeypatch.setenv("DIAGTREE_JOBS", str(tmp_path / "jobs.db"))
    monkeypatch.chdir(tmp_path)

    def go(*argv: str, typed: tuple[str, ...] = ()) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in typed)))
        code = main(list(argv))
        return code, *capsys.readouterr()

    return go


def data(said: tuple[int, str, str]) -> dict[str, Any]:
    assert said[0] == 0, said[2]
    found: dict[str, Any] = json.loads(said[1])
    return found


def test_a_pipe_keeps_no_job_unless_it_names_one(run: Run, tmp_path: Path) -> None:
    assert run("walk", "noisy-pump", typed=NOISE)[0] == 0
    assert not (tmp_path / "jobs.db").exists()
    assert data(run("jobs", "--json")) == {"jobs": [], "more": 0}
    assert run("jobs")[1] == "No jobs are kept here yet. A walk on a terminal is one from its first answer.\n"
    assert not (tmp_path / "jobs.db").exists()


@pytest.mark.parametrize("cut", range(5))
def test_a_pipe_with_a_job_gives_the_same_json_also_in_two_halves(run: Run, cut: int) -> None:
    plain = run("walk", "noisy-pump", "--json", typed=NOISE)
    whole = run("walk", "noisy-pump", "--json", "--job", "7", typed=NOISE)
    assert json.loads(whole[1]) == json.loads(plain[1])
    run("walk", "noisy-pump", "--job", "A-8", typed=NOISE[:cut])
    tree = ("noisy-pump",) if cut == 0 else ()
    rest = run("walk", *tree, "--job", "A-8", "--json", typed=NOISE[cut:])
    assert data(rest) == json.loads(plain[1])


def test_a_job_goes_on_without_its_tree_and_says_so(run: Run) -> None:
    run("walk", "noisy-pump", "--job", "7", "--vehicle", "Pump 3, hall B", typed=("rumble",))
    code, out, _ = run("walk", "--job", "7", typed=("clear",))
    assert code == 0
    assert "Job 7 (Pump 3, hall B) goes on." in out
    assert list(data(run("jobs", "show", "7", "--json"))["answers"]) == ["noise-kind", "frame-oil"]
    code, out, err = run("walk", "low-flow", "--job", "7")
    assert (code, out) == (2, "")
    assert err == "Job 7 walks the tree 'noisy-pump', not 'low-flow'. Leave the tree out, or begin another job.\n"
    code, out, err = run("walk", "--job", "8")
    assert (code, out) == (2, "")
    assert err.startswith("There is no job 8 in '")


def test_other_commands_take_a_job_s_answers_engine_and_features(run: Run) -> None:
    known = ["--feature", "seal=packed", "--answer", "noise-kind=rumble", "--answer", "shaft-turn=free"]
    run("walk", "noisy-pump", "--feature", "seal=packed", "--job", "7", typed=("rumble", "shaft-turn=free"))
    for argv in (["next", "--json", "--seconds", "0.2"], ["estimate", "--json"]):
        plain = data(run(argv[0], "noisy-pump", *argv[1:], *known))
        assert data(run(*argv, "--job", "7")) == plain
    plain = data(run("scope", "seal-worn", "--json", "--feature", "seal=packed"))
    scope = data(run("scope", "seal-worn", "--json", "--job", "7"))
    assert (scope["build"], scope["parts"]) == (plain["build"], plain["parts"])
    assert "close_up" not in plain
    assert scope["close_up"]["hours"] > 0  # the guard is off already, and goes on again
    more = data(run("next", "--job", "7", "--answer", "frame-oil=grey", "--json", "--seconds", "0.2"))
    assert "frame-oil" not in [check["check"] for check in more["checks"]]
    assert list(data(run("jobs", "show", "7", "--json"))["answers"]) == ["noise-kind", "shaft-turn"]


def test_an_answer_taken_back_stands_in_the_history(run: Run) -> None:
    run("walk", "noisy-pump", "--job", "7", "--by", "kim", typed=("rumble", "grey", "back", "clear"))
    found = data(run("jobs", "show", "7", "--json"))
    assert {name: one["value"] for name, one in found["answers"].items()} == {
        "noise-kind": "rumble",
        "frame-oil": "clear",
    }
    assert [one["kind"] for one in found["history"] if one["kind"] != "acknowledged"] == [
        "library", "answered", "answered", "outcome", "taken-back", "outcome", "answered",
    ]  # fmt: skip
    assert {one["who"] for one in found["history"]} == {"kim"}
    assert "taken back: frame-oil: grey (kim)" in run("jobs", "show", "7")[1]


def test_nobody_is_named_who_did_not_say_so(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("USER", "secret-login")
    run("walk", "noisy-pump", "--job", "7", typed=("rumble",))
    assert "secret-login" not in run("jobs", "show", "7", "--json")[1]


def test_what_belongs_in_a_job_goes_in_and_comes_out(run: Run, tmp_path: Path) -> None:
    picture = tmp_path / "chain.jpg"
    picture.touch()
    run("walk", "noisy-pump", "--job", "7", typed=NOISE)
    for words in (
        ["authorise", "7", "--stage", "diagnosis", "--amount", "95", "--by", "the owner"],
        ["authorise", "7", "--stage", "diagnosis", "--amount", "120,50", "--by", "the owner"],
        ["decline", "7", "guard-off"],
        ["note", "7", "--check", "noise-kind", "louder", "when", "warm"],
        ["picture", "7", "chain.jpg"],
        ["vehicle", "7", "Pump", "3"],
        ["close", "7", "--found", "coupling-out", "bearings-worn", "--held", "yes"],
    ):
        code, out, err = run("jobs", *words)
        assert (code, err) == (0, ""), words
        assert out.startswith("Job 7: ")
    found = data(run("jobs", "show", "7", "--json"))
    assert [(one["stage"], one["amount"], one["by"]) for one in found["authorised"]] == [
        ("diagnosis", 120.5, "the owner")
    ]
    assert found["declined"] == ["guard-off"]
    assert [(one["text"], one["check"]) for one in found["notes"]] == [("louder when warm", "noise-kind")]
    assert [one["path"] for one in found["pictures"]] == [str(picture)]
    assert (found["vehicle"], found["state"]) == ("Pump 3", "closed")
    assert (found["closed"]["faults"], found["closed"]["held"]) == (["coupling-out", "bearings-worn"], "yes")
    assert [one["number"] for one in data(run("jobs", "--json", "--state", "closed"))["jobs"]] == ["7"]
    code, _, err = run("walk", "--job", "7")
    assert (code, err) == (2, "Job 7 is closed. `diagtree jobs reopen 7` opens it again.\n")
    assert run("jobs", "reopen", "7")[0] == 0
    assert data(run("jobs", "show", "7", "--json"))["closed"] is None


def test_a_walk_warns_when_what_is_expected_passes_what_was_authorised(run: Run) -> None:
    run("walk", "noisy-pump", "--job", "7", typed=("rumble",))
    run("jobs", "authorise", "7", "--stage", "repair", "--amount", "10000000")
    assert "Ask the customer" not in run("walk", "--job", "7")[1]
    run("jobs", "authorise", "7", "--stage", "repair", "--amount", "1")
    assert "Authorised: 1.00. Ask the customer before you go on." in " ".join(run("walk", "--job", "7")[1].split())
    code, out, err = run("next", "--job", "7", "--json", "--seconds", "0.2")
    assert code == 0
    assert "Ask the customer" in err
    assert "Ask the customer" not in out


WRONG: list[tuple[list[str], str]] = [
    (["jobs", "show", "9"], "There is no job 9 in "),
    (["jobs", "show", "a\x1bb"], "'a b' can't be a job's number."),
    (["jobs", "close", "7", "--held", "yes"], "Say with --found what was found"),
    (["jobs", "close", "7", "--found", "bearing-worn"], "no fault 'bearing-worn'. The nearest is 'bearings-worn'."),
    (["jobs", "reopen", "7"], "Job 7 is open."),
    (["jobs", "authorise", "7", "--stage", "repair", "--amount", "nan"], "'nan' is no amount."),
    (["jobs", "authorise", "7", "--stage", "repair", "--amount", "-5"], "'-5' is no amount."),
    (["jobs", "decline", "7", "gard-off"], "The engine 'tarn-pump' has no work step 'gard-off'."),
    (["jobs", "picture", "7", "nowhere.jpg"], "is no file."),
    (["jobs", "picture", "7", ""], "'' is no file."),
    (["jobs", "note", "7", " \t "], "Write the note behind the number."),
    (["jobs", "note", "7", "x", "--check", "noise"], "The library has no check 'noise'. The nearest is 'noise-kind'."),
    (["jobs", "vehicle", "7", "\x1b"], "Write the vehicle behind the number."),
    (["jobs", "export", "--out", ""], "--out is empty."),
    (["jobs", "--most", "0"], "'0' is no whole number from 1 to 1000000000."),
    (["jobs", "export", "--json", "--csv"], "--json is no CSV"),
    (["jobs", "export", "--out", "no/such/folder/x"], "cannot be written"),
    (["walk", "--job", "7", "--engine", "other"], "Job 7 is of the engine "),
    (["walk", "--job", "../../x"], "'../../x' can't be a job's number."),
    (["walk", "noisy-pump", "--job", "7", "--no-job"], "--no-job keeps nothing"),
    (["walk", "--from", "ABCDEF"], "Group 1 of the code, ABCDEF, is not right. Look at it again."),
    (["next", "--job", "9", "--json"], "There is no job 9 in "),
    (["next"], "Name a tree."),
]  # fmt: skip


@pytest.mark.parametrize(("argv", "says"), WRONG, ids=lambda word: " ".join(word) if isinstance(word, list) else "")
def test_wrong_use_is_one_sentence_and_changes_nothing(run: Run, argv: list[str], says: str) -> None:
    run("walk", "noisy-pump", "--job", "7", typed=("rumble",))
    before = run("jobs", "export")[1]
    code, out, err = run(*argv)
    assert (code, out) == (2, "")
    assert says in err
    assert err.count("\n") == 1
    assert run("jobs", "export")[1] == before


def test_options_stand_before_the_word_too(run: Run) -> None:
    run("walk", "noisy-pump", "--job", "7", typed=("rumble",))
    one = run("jobs", "show", "7", "--json")
    assert run("--json", "jobs", "show", "7") == run("jobs", "--json", "show", "7") == one
    assert run("jobs", "--vehicle", "none", "list")[1] == "No job fits. `diagtree jobs` alone lists them all.\n"


# For other programs


def test_json_lines_are_exact_and_csv_runs_nothing(run: Run, tmp_path: Path) -> None:
    vehicle = '=HYPERLINK("http://x";"y") \u00e4'
    run("walk", "noisy-pump", "--job", "7", "--vehicle", vehicle, typed=("rumble",))
    run("jobs", "note", "7", '\'quoted, "twice"')
    run("jobs", "note", "7", "--", "-1+1")
    lines = run("jobs", "export")[1].splitlines()
    assert len(lines) == 1
    assert json.loads(lines[0])["vehicle"] == vehicle
    assert lines[0].isascii()
    text = run("jobs", "export", "--history", "--out", "x.csv")[1]
    assert text == "Wrote x.csv.\n"
    with (tmp_path / "x.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    cells = [cell for row in rows for cell in row.values()]
    assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in cells)
    assert {row["vehicle"] for row in rows} == {"'" + vehicle}
    assert [row["note"] for row in rows if row["kind"] == "noted"] == ["''quoted, \"twice\"", "'-1+1"]
    rows = list(csv.DictReader(io.StringIO(run("jobs", "export", "--csv")[1], newline="")))
    assert [(row["number"], row["answers"]) for row in rows] == [("7", "noise-kind=rumble")]


def test_a_store_that_somebody_tampered_with_writes_no_escape_sequence(run: Run, tmp_path: Path) -> None:
    run("walk", "noisy-pump", "--job", "7", typed=("rumble",))
    run("jobs", "authorise", "7", "--stage", "repair", "--amount", "90")
    with sqlite3.connect(tmp_path / "jobs.db") as store:
        store.execute("PRAGMA foreign_keys = OFF")
        for column in ("typed", "note", "at", "who", "subject", "value"):
            store.execute(f"UPDATE diagtree_entries SET {column} = char(27) || '[31m' || {column}")  # noqa: S608
    store.close()
    for argv in (
        ["jobs"],
        ["jobs", "show", "7"],
        ["jobs", "export"],
        ["walk", "--job", "7", "--json"],
        ["jobs", "--json"],
    ):
        code, out, err = run(*argv)
        assert code == 0
        assert "\x1b" not in out + err, argv


# On paper


def test_a_code_goes_on_at_another_bench_without_a_store(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    whole = run("walk", "noisy-pump", "--json", typed=NOISE)
    run("walk", "noisy-pump", "--job", "7", typed=NOISE[:2])
    code = data(run("jobs", "show", "7", "--code", "--json"))["code"]
    shown = run("jobs", "show", "7", "--code")[1]
    assert code in "".join(shown.split())
    other = tmp_path / "other.db"
    monkeypatch.setenv("DIAGTREE_JOBS", str(other))
    assert run("walk", "--from", code, "--json", typed=NOISE[2:])[1] == whole[1]
    assert not other.exists()
    run("walk", "--from", code.lower().replace("-", " "), "--job", "21", typed=NOISE[2:])
    assert list(data(run("jobs", "show", "21", "--json"))["answers"]) == [
        "noise-kind",
        "frame-oil",
        "shaft-turn",
        "alignment",
    ]
    code_, out, err = run("walk", "--from", code[:-3] + "222", "--json")
    assert (code_, out) == (2, "")
    assert "of the code" in err


def test_a_code_under_another_library_says_so(run: Run, tmp_path: Path) -> None:
    run("walk", "noisy-pump", "--job", "7", typed=NOISE[:2])
    code = data(run("jobs", "show", "7", "--code", "--json"))["code"]
    changed = tmp_path / "library"
    changed.mkdir()
    for path in Path(PUMP).iterdir():
        if path.suffix in {".yaml", ".yml"}:
            text = path.read_text(encoding="utf-8").replace("clear: Clear}", "clear: Clear or amber}")
            (changed / path.name).write_text(text, encoding="utf-8")
    out = run("walk", "--from", code, "--library", str(changed))[1]
    assert "The library is another than the one that the code was written under." in " ".join(out.split())
    out = run("walk", "--job", "7", "--library", str(changed))[1]
    assert "The library has changed since job 7 was last walked." in " ".join(out.split())


# On a terminal


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in {"DIAGTREE_JOBS", "NO_COLOR"}}
    return {**kept, "PYTHONPATH": str(ROOT), "DIAGTREE_LIBRARY": PUMP, "XDG_DATA_HOME": str(tmp_path), "TERM": "dumb"}


def listed(environment: dict[str, str]) -> list[dict[str, Any]]:
    ran = subprocess.run(
        [sys.executable, "-m", "diagtree", "jobs", "--json"], env=environment, capture_output=True, check=True
    )
    jobs: list[dict[str, Any]] = json.loads(ran.stdout)["jobs"]
    return jobs


@pytest.mark.parametrize("end", ["interrupt", "kill"])
def test_a_walk_on_a_terminal_is_a_job_from_its_first_answer(
    environment: dict[str, str], tmp_path: Path, end: str
) -> None:
    """Whatever ends it: what was answered is there."""
    walk = pexpect.spawn(
        sys.executable, ["-m", "diagtree", "walk", "low-flow"], env=environment, encoding="utf-8", timeout=60
    )
    walk.expect("> ")
    assert not (tmp_path / "diagtree").exists()
    walk.sendline("0.1 bar")
    walk.expect("This is job 1")
    walk.expect("> ")
    walk.sendline("3 bar")
    walk.expect("> ")
    if end == "interrupt":
        walk.sendintr()
        walk.expect(pexpect.EOF)
        walk.close()
        assert (walk.exitstatus, walk.signalstatus) == (130, None)
        assert "Traceback" not in str(walk.before)
    else:
        walk.kill(signal.SIGKILL)
        walk.close(force=True)
    jobs = listed(environment)
    assert [(job["number"], job["tree"], job["state"]) for job in jobs] == [("1", "low-flow", "open")]
    ran = subprocess.run(
        [sys.executable, "-m", "diagtree", "jobs", "show", "1", "--json"],
        env=environment,
        capture_output=True,
        check=True,
    )
    found = json.loads(ran.stdout)["answers"]
    assert {name: (one["value"], one["typed"]) for name, one in found.items()} == {
        "strainer-drop": ("0.1 bar", "0.1 bar"),
        "discharge-pressure": ("3 bar", "3 bar"),
    }


def test_a_walk_that_keeps_nothing(environment: dict[str, str], tmp_path: Path) -> None:
    walk = pexpect.spawn(
        sys.executable,
        ["-m", "diagtree", "walk", "low-flow", "--no-job"],
        env=environment,
        encoding="utf-8",
        timeout=60,
    )
    walk.expect("> ")
    walk.sendline("0.1 bar")
    walk.expect("> ")
    walk.sendintr()
    walk.expect(pexpect.EOF)
    walk.close()
    assert not (tmp_path / "diagtree").exists()


@pytest.mark.parametrize(
    "argv",
    [
        ["--help"],
        ["walk", "--help"],
        ["jobs", "--help"],
        ["next", "low-flow", "--json"],
        ["walk", "low-flow", "--json"],
    ],
    ids=" ".join,
)
def test_nothing_loads_the_database_that_needs_no_job(argv: list[str], environment: dict[str, str]) -> None:
    ran = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "diagtree", *argv],
        env=environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=True,
    )
    loaded = {line.rpartition("|")[2].strip().partition(".")[0] for line in ran.stderr.splitlines()}
    assert "diagtree" in loaded
    assert "sqlalchemy" not in loaded


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("7", "'7' looks like a job's number: `diagtree jobs show 7` shows that job."),
        ("W-12/3", "'W-12/3' looks like a job's number: `diagtree jobs show W-12/3` shows that job."),
        ("shwo", "'shwo' is none of its words. The nearest is 'show'. `diagtree jobs --help` tells more."),
        ("7;\x1b", "'7;\\x1b' is none of its words. There are: "),
    ],
)
def test_a_number_without_a_word_is_told_the_word(word: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jobs", word]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"diagtree jobs: {said}")
    assert err.count("\n") == 1


def test_an_answer_told_anew_stands_alone_and_the_history_holds_both(run: Run) -> None:
    run("walk", "noisy-pump", "--job", "7", typed=("rumble", "clear", "revise noise-kind squeal"))
    said = run("jobs", "show", "7")[1]
    standing, _, history = said.partition("History:")
    assert "noise-kind: squeal" in standing
    assert "noise-kind: rumble" not in standing
    assert "noise-kind: rumble" in history
    assert "anew, noise-kind: squeal" in history
    (row,) = csv.DictReader(io.StringIO(run("jobs", "export", "--csv")[1]))
    assert row["answers"] == "frame-oil=clear; noise-kind=squeal"
