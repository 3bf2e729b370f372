"""What every command keeps to, whoever calls it: streams, exit codes, options, colour, encodings."""

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from diagtree import __version__
from diagtree.cli import COMMANDS, main
from diagtree.rules.registry import ids
from tests.forking import Starter

ROOT = Path(__file__).resolve().parents[2]
PUMP = str(ROOT / "tests" / "foreign" / "pump")
SARIF = ROOT / "tests" / "outside" / "published" / "sarif-schema-2.1.0.json"
HEAVY = ("prompt_toolkit", "numpy", "networkx", "pygraphviz", "sqlalchemy", "yaml", "reportlab", "highspy", "pint")
ESCAPE = "\x1b"
BOX = re.compile("[\u2500-\u259f]")


def environment(**settings: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "FORCE_COLOR"}}
    return {**kept, "PYTHONPATH": str(ROOT), "DIAGTREE_LIBRARY": PUMP, "PYTHONDONTWRITEBYTECODE": "1", **settings}


def start(*argv: str, typed: str = "", **settings: str) -> subprocess.CompletedProcess[str]:
    """The program in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "diagtree", *argv],
        input=typed,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=120,
        env=environment(**settings),
    )


@pytest.fixture(autouse=True)
def _library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DIAGTREE_LIBRARY", PUMP)


# Starting


@pytest.mark.parametrize("word", ["--help", "--version"])
def test_help_and_version_start_without_a_heavy_module(word: str) -> None:
    ran = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "diagtree", word],
        capture_output=True,
        text=True,
        check=False,
        env=environment(),
    )
    assert ran.returncode == 0
    loaded = {line.rpartition("|")[2].strip().partition(".")[0].lower() for line in ran.stderr.splitlines()}
    assert "diagtree" in loaded
    assert loaded.isdisjoint(HEAVY)


def test_the_version_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr() == (f"diagtree {__version__}\n", "")


def test_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    for name in COMMANDS:
        assert re.search(rf"^ +{name} ", out, re.MULTILINE), name
        assert main([name, "--help"]) == 0
        said, err = capsys.readouterr()
        assert said.startswith(f"usage: diagtree {name}")
        assert err == ""


def test_no_command_is_wrong_use(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("usage: diagtree")


# Streams

TO_ITS_END = "rumble\nclear\nfree\n0.3 mm\n"  # the replies that lead noisy-pump to an outcome
# What a report is about where there is nothing of it yet: a job that was walked to its outcome.
WALKED = ["walk", "noisy-pump", "--job", "7", "--jobs", "{tmp}/jobs.db", "--json"]
OF_A_JOB = frozenset({"jobs show --sheet", "vet --jobs"})

REPORTING: dict[str, tuple[list[str], str]] = {
    "vet": (["vet", "--json"], ""),
    "vet --sarif": (["vet", "--sarif"], ""),
    "vet --explain": (["vet", "--explain", "unknown-node", "--json"], ""),
    "vet --rules": (["vet", "--rules", "--json"], ""),
    "vet --against": (["vet", "--against", PUMP, "--json"], ""),
    "walk": (["walk", "low-flow", "--json"], "0.3 bar\n?\n"),
    "walk, with cautions": (["walk", "noisy-pump", "--json"], "rumble\nclear\nfree\n"),
    "next": (["next", "low-flow", "--json", "--seconds", "0.2"], ""),
    "estimate": (["estimate", "noisy-pump", "--json"], ""),
    "estimate --amount": (["estimate", "low-flow", "--amount", "640", "--slow", "1.3", "--json"], ""),
    "scope": (["scope", "impeller-worn", "--json"], ""),
    "scope --sheet": (["scope", "impeller-worn", "--sheet", "{tmp}/a.pdf", "--json"], ""),
    "estimate --sheet": (["estimate", "low-flow", "--sheet", "{tmp}/a.pdf", "--json"], ""),
    "walk --job": (["walk", "low-flow", "--job", "7", "--jobs", "{tmp}/jobs.db", "--json"], "0.3 bar\n?\n"),
    "walk --sheet": (["walk", "noisy-pump", "--sheet", "{tmp}/a.pdf", "--json"], TO_ITS_END),
    "jobs show --sheet": (["jobs", "show", "7", "--jobs", "{tmp}/jobs.db", "--sheet", "{tmp}/a.pdf", "--json"], ""),
    "vet --jobs": (["vet", "--against", PUMP, "--jobs", "{tmp}/jobs.db", "--json"], ""),
    "jobs": (["jobs", "--jobs", "{tmp}/jobs.db", "--json"], ""),
    "jobs export": (["jobs", "export", "--jobs", "{tmp}/jobs.db", "--json"], ""),
    "draw": (["draw", "low-flow", "--out", "{tmp}/a.dot", "--json"], ""),
    "draw --page": (["draw", "low-flow", "--page", "{tmp}/a.html", "--build", "tall", "--json"], ""),
    "help": (["help", "--json"], ""),
    "help, a topic": (["help", "walk", "--json"], ""),
    "new": (["new", "{tmp}/lib", "--json"], ""),
    "schema": (["schema"], ""),
}


@pytest.mark.parametrize("name", REPORTING)
def test_json_is_whole_where_standard_error_is_closed(name: str, tmp_path: Path) -> None:
    argv, typed = REPORTING[name]
    if name in OF_A_JOB:
        assert start(*(word.format(tmp=tmp_path) for word in WALKED), typed=TO_ITS_END).returncode == 0
    ran = subprocess.run(
        ["sh", "-c", 'exec "$0" -m diagtree "$@" 2>&-', sys.executable, *(word.format(tmp=tmp_path) for word in argv)],
        input=typed,
        stdout=subprocess.PIPE,
        text=True,
        check=False,
        env=environment(FORCE_COLOR="1"),
    )
    assert ran.returncode in {0, 1}
    assert isinstance(json.loads(ran.stdout), dict)
    assert ESCAPE not in ran.stdout


WRONG: list[list[str]] = [
    ["nosuch"],
    ["--nosuch"],
    ["wlak", "low-flow"],
    ["walk"],
    ["walk", "nosuch"],
    ["walk", "low-flow", "extra"],
    ["walk", "low-flow", "--nosuch"],
    ["timing", "nosuch", "--trace", "nosuch.csv"],
    ["walk", "low-flow", "--answer", "pressure=@nosuch.txt"],
    ["walk", "low-flow", "--engine", "nosuch"],
    ["walk", "low-flow", "--build", "nosuch"],
    ["walk", "low-flow", "--build", "plain", "--feature", "seal=packed"],
    ["walk", "low-flow", "--feature", "seal"],
    ["walk", "low-flow", "--feature", "seal=nosuch"],
    ["walk", "low-flow", "--feature", "nosuch=packed"],
    ["walk", "low-flow", "--feature", "seal=packed", "--feature", "stages=2"],
    ["walk", "low-flow", "--answer", "nosuch=low"],
    ["walk", "low-flow", "--answer", "soap-test=nosuch"],
    ["walk", "low-flow", "--answer", "strainer-drop=5 N m"],
    ["walk", "low-flow", "--answer", "strainer-drop=nan"],
    ["walk", "low-flow", "--answer", "soap-test"],
    ["walk", "low-flow", "--answers", "/nonexistent.yaml"],
    ["walk", "low-flow", "--library", "/nonexistent"],
    ["--library", "/nonexistent", "walk", "low-flow", "--json"],
    ["next"],
    ["next", "nosuch", "--json"],
    ["next", "low-flow", "--seconds", "-1"],
    ["next", "low-flow", "--seconds", "nan"],
    ["next", "low-flow", "--why", "nosuch"],
    ["next", "low-flow", "--build", "nosuch"],
    ["scope"],
    ["scope", "nosuch", "--json"],
    ["scope", "sleeve-scored", "--build", "sealed"],
    ["scope", "impeller-worn", "--engine"],
    ["scope", "impeller-worn", "--json", "--build="],
    ["scope", "impeller-worn", "--sheet", "x.svg", "--json"],
    ["scope", "impeller-worn", "--sheet", "/nonexistent/x.pdf"],
    ["scope", "impeller-worn", "--paper", "A4"],
    ["estimate"],
    ["estimate", "nosuch", "--json"],
    ["estimate", "low-flow", "--amount", "-1"],
    ["estimate", "low-flow", "--amount", "nan"],
    ["estimate", "low-flow", "--amount", "inf", "--json"],
    ["estimate", "low-flow", "--slow", "0"],
    ["estimate", "low-flow", "--slow", "nan"],
    ["estimate", "low-flow", "--slow"],
    ["estimate", "low-flow", "--build", "nosuch"],
    ["estimate", "low-flow", "--answer", "nosuch=low"],
    ["estimate", "low-flow", "--sheet", "x.txt", "--json"],
    ["estimate", "low-flow", "--sheet", "/nonexistent/x.pdf"],
    ["estimate", "low-flow", "--paper", "letter"],
    ["walk", "--job", "7", "--jobs", "x.db"],
    ["walk", "low-flow", "--job", "7", "--jobs", "/nonexistent/x.db", "--json"],
    ["walk", "low-flow", "--job", "", "--json"],
    ["walk", "--from", "nonsense", "--json"],
    ["next", "--job", "7", "--jobs", "x.db", "--json"],
    ["scope", "impeller-worn", "--job", "7", "--jobs", "x.db"],
    ["jobs", "nosuch"],
    ["jobs", "show", "--json"],
    ["jobs", "show", "7", "--jobs", "x.db", "--json"],
    ["jobs", "close", "7", "--jobs", "x.db", "--json"],
    ["jobs", "--state", "nosuch"],
    ["jobs", "7"],
    ["jobs", "show", "7", "--jobs", "x.db", "--sheet", "x.pdf", "--json"],
    ["jobs", "show", "7", "--sheet", "x.txt"],
    ["jobs", "show", "7", "--paper", "A4"],
    ["walk", "low-flow", "--sheet", "x.txt", "--json"],
    ["walk", "low-flow", "--paper", "letter"],
    ["vet", "--jobs", "x.db"],
    ["vet", "--against", PUMP, "--jobs", ".", "--json"],
    ["draw", "low-flow"],
    ["draw", "low-flow", "--out", "x.jpeg"],
    ["draw", "low-flow", "--out", "/nonexistent/x.svg"],
    ["draw", "low-flow", "--out", "x.dot", "--paper", "A4"],
    ["draw", "low-flow", "--out", "x.svg", "--paper", "B5"],
    ["draw", "low-flow", "--out", "x.svg", "--tiles", "A4"],
    ["draw", "low-flow", "--out", "x.graphml", "--belief"],
    ["draw", "low-flow", "--out", "x.pdf", "--tiles", "A4", "--onward"],
    ["draw", "low-flow", "--out", "x.png", "--dpi", "0"],
    ["draw", "nosuch", "--out", "x.svg", "--json"],
    ["draw", "low-flow", "--page", "x.htm"],
    ["draw", "low-flow", "--page", "x.html"],
    ["draw", "low-flow", "--page", "x.html", "--build", "tall", "--paper", "A4"],
    ["draw", "low-flow", "--page", "x.html", "--out", "x.svg"],
    ["draw", "low-flow", "--page", "/nonexistent/x.html", "--build", "tall"],
    ["draw", "nosuch", "--page", "x.html", "--json"],
    ["vet", "--json", "--sarif"],
    ["vet", "--explain"],
    ["vet", "--explain", "nosuch", "--json"],
    ["vet", "--explain", "unknown-node", "--rules"],
    ["vet", PUMP, "extra"],
    ["vet", "--against", PUMP, "--sarif"],
    ["help", "nosuch", "--json"],
    ["help", "--man", "walk"],
    ["new"],
    ["new", PUMP],
    ["new", "a", "b"],
    ["schema", "nosuch"],
]


@pytest.mark.parametrize("argv", WRONG, ids=" ".join)
def test_wrong_use_leaves_standard_output_empty(
    argv: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(argv) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.strip()
    assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == []


EMPTY = [
    ["draw", "low-flow", "--out", "x.svg", "--engine", ""],
    ["draw", "low-flow", "--out", "x.svg", "--build="],
    ["next", "low-flow", "--answers", ""],
    ["drill", "low-flow", "--fault="],
    ["timing", "pump", "--trace", ""],
    ["vet", "--jobs="],
]


@pytest.mark.parametrize("argv", EMPTY, ids=" ".join)
def test_an_empty_value_is_not_taken_for_none(argv: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(argv) == 2
    option = next(word for word in reversed(argv) if word.startswith("--")).rstrip("=")
    assert capsys.readouterr() == ("", f"{option} is empty. Give it a value, or leave it out.\n")


def test_wrong_use_in_a_process_of_its_own_is_the_same() -> None:
    ran = start("walk", "nosuch", "--json")
    assert (ran.returncode, ran.stdout) == (2, "")
    assert ran.stderr.count("\n") == 1


def test_a_library_with_an_error_is_unreadable_input(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.yaml").write_text("checks: 5\n", encoding="utf-8")
    for argv in (["walk", "a"], ["next", "a"], ["estimate", "a"], ["scope", "a"], ["draw", "a", "--out", "x.svg"]):
        assert main([*argv, "--library", str(tmp_path)]) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert "a.yaml:1:9: error: " in err


def test_what_can_not_be_read_at_all_is_a_problem_of_vet(capsys: pytest.CaptureFixture[str]) -> None:
    """`vet` reports it like any other, so that a server's log names it; the exit code is not 0."""
    assert main(["vet", "/nonexistent", "--json"]) in {1, 2}
    out, _ = capsys.readouterr()
    assert not out or json.loads(out)["problems"][0]["rule"] == "unreadable-file"


GONE: list[list[str]] = [
    ["vet", "--json"], ["vet"], ["vet", "--sarif"], ["vet", "--rules"], ["walk", "low-flow"],
    ["scope", "impeller-worn"], ["estimate", "low-flow"], ["jobs"], ["help", "walk"], ["help", "--man"], ["schema"],
    ["--help"],
]  # fmt: skip


@pytest.mark.parametrize("argv", GONE, ids=" ".join)
def test_a_reader_that_went_away_is_no_event(argv: list[str]) -> None:
    """The read end is closed before the program has started, as `| true` does sooner or later."""
    with subprocess.Popen(
        [sys.executable, "-m", "diagtree", *argv],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(),
    ) as process:
        assert process.stdout
        assert process.stderr
        process.stdout.close()
        err = process.stderr.read()
        assert (process.wait(60), err) == (141, b"")


def test_a_pipeline_gives_141_without_a_word() -> None:
    shell = shutil.which("bash")
    if shell is None:
        pytest.skip("no shell that keeps each exit code of a pipeline")
    line = f'"{sys.executable}" -m diagtree vet --sarif | true; echo ${{PIPESTATUS[0]}}'
    ran = subprocess.run([shell, "-c", line], capture_output=True, text=True, check=False, env=environment())
    assert (ran.stdout, ran.stderr) == ("141\n", "")


# Colour

COLOURS = [{}, {"NO_COLOR": "1"}, {"NO_COLOR": ""}, {"NO_COLOR": "1", "FORCE_COLOR": "1"}]


@pytest.mark.parametrize("settings", COLOURS, ids=str)
def test_a_pipe_has_no_colour_unless_it_is_forced(settings: dict[str, str]) -> None:
    ran = start("walk", "noisy-pump", typed="rumble\nclear\nfree\n0.3 mm\n", TERM="xterm-256color", **settings)
    assert ran.returncode == 0
    assert ESCAPE not in ran.stdout + ran.stderr


@pytest.mark.parametrize("settings", [*COLOURS, {"FORCE_COLOR": "1"}], ids=str)
def test_json_has_never_colour(settings: dict[str, str]) -> None:
    ran = start("scope", "impeller-worn", "--json", **settings)
    assert ran.returncode == 0
    assert ESCAPE not in ran.stdout


# Walking line by line


def test_lines_and_a_dumb_terminal_ask_in_plain_characters_and_come_to_the_same() -> None:
    typed = "rumble\nclear\nfree\n0.3 mm\n"
    lines = start("walk", "noisy-pump", "--lines", typed=typed)
    dumb = start("walk", "noisy-pump", typed=typed, TERM="dumb")
    assert lines.returncode == dumb.returncode == 0
    assert lines.stdout == dumb.stdout
    assert ESCAPE not in lines.stdout + lines.stderr
    assert not BOX.search(lines.stdout + lines.stderr)
    one = start("walk", "noisy-pump", "--lines", "--json", typed=typed)
    other = start("walk", "noisy-pump", "--json", typed=typed)
    assert json.loads(one.stdout) == json.loads(other.stdout)


def test_an_answer_typed_and_an_answer_given_come_to_the_same() -> None:
    typed = json.loads(start("walk", "noisy-pump", "--json", typed="rumble\nclear\nfree\n0.3 mm\n").stdout)
    known = ["noise-kind=rumble", "frame-oil=clear", "shaft-turn=free", "alignment=0.3 mm"]
    given = start("walk", "noisy-pump", "--json", *(word for one in known for word in ("--answer", one)))
    again = json.loads(given.stdout)
    assert typed["outcome"] == again["outcome"]
    assert typed["belief"] == again["belief"]


# Encodings


@pytest.fixture
def accented(tmp_path: Path) -> Path:
    folder = Path(shutil.copytree(PUMP, tmp_path / "pump"))
    for name, old, new in (
        (
            "faults.yml",
            "title: Impeller and wear rings worn",
            "title: Läufer \u2013 Spaltringe \u2018verschlissen\u2019 漢 ½ → 5 °C ≤ µm",
        ),
        ("engine.yaml", "title: Renew the wear rings", "title: Spaltringe erneuern… «rundum» ½ Ω €"),
        ("trees.yaml", "title: Low flow", "title: Zu wenig Förderstrom \u00d7 œuvre"),
    ):
        path = folder / name
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1
        path.write_text(text.replace(old, new), encoding="utf-8")
    return folder


@pytest.fixture(scope="module", params=["ascii", "latin-1", "cp437", "ascii:strict"])
def encoded(request: pytest.FixtureRequest) -> Iterator[tuple[str, Starter]]:
    """An encoding, and the program in an interpreter that was started with it."""
    starter = Starter(environment(PYTHONIOENCODING=request.param))
    yield request.param, starter
    starter.end()


@pytest.mark.parametrize(
    "argv",
    [
        ["scope", "impeller-worn"],
        ["walk", "low-flow"],
        ["vet"],
        ["next", "low-flow", "--seconds", "0.2"],
        ["estimate", "low-flow"],
    ],
    ids=lambda argv: argv[0],
)
def test_a_poor_encoding_gets_readable_stand_ins(argv: list[str], encoded: tuple[str, Starter], accented: Path) -> None:
    encoding, starter = encoded
    typed = b"0.1 bar\nlow\nwhole\n0.6 mm\n"
    code, shown, err = starter.run([*argv, "--library", str(accented)], typed if argv[0] == "walk" else b"")
    assert code in ({0, 1} if argv[0] == "vet" else {0}), err
    out = shown.decode(encoding.partition(":")[0])
    if argv[0] == "scope":
        assert "?" not in out
        assert "Spaltringe erneuern" in out
        assert encoding != "ascii" or 'Spaltringe erneuern... "rundum"' in out
    _, data, _ = starter.run([*argv, "--library", str(accented), "--json"], typed)
    assert isinstance(json.loads(data.decode("ascii")), dict)


# Options before and after the command

PLACES = [
    (["--library", PUMP, "scope", "impeller-worn", "--json"], ["scope", "impeller-worn", "--json", "--library", PUMP]),
    (["--sarif", "--library", PUMP, "vet"], ["vet", "--library", PUMP, "--sarif"]),
    (["--sarif", "vet", PUMP], ["vet", PUMP, "--sarif"]),
    (["--build", "plain", "--json", "scope", "seal-worn"], ["scope", "--build", "plain", "seal-worn", "--json"]),
    (
        ["--feature", "seal=packed", "--json", "scope", "seal-worn"],
        ["scope", "seal-worn", "--feature=seal=packed", "--json"],
    ),
    (["--library=" + PUMP, "--json", "walk", "low-flow"], ["walk", "--json", "low-flow", "--library", PUMP]),
    (["--explain", "unknown-node", "vet"], ["vet", "--explain", "unknown-node"]),
]  # fmt: skip


@pytest.mark.parametrize(("before", "after"), PLACES, ids=lambda argv: " ".join(argv)[-50:])
def test_options_stand_before_or_after_the_command(
    before: list[str], after: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("DIAGTREE_LIBRARY")
    monkeypatch.setenv("DIAGTREE_LIBRARY", PUMP)
    codes = []
    said = []
    for argv in (before, after):
        with open(os.devnull, encoding="utf-8") as nothing:  # noqa: PTH123
            monkeypatch.setattr(sys, "stdin", nothing)
            codes.append(main(argv))
        said.append(capsys.readouterr())
    assert codes[0] == codes[1]
    assert codes[0] in {0, 1}
    assert said[0] == said[1]
    assert said[0].out


def test_an_options_value_may_be_a_commands_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = shutil.copytree(PUMP, tmp_path / "vet")
    assert main(["--library", str(folder), "--build", "walk", "scope", "seal-worn"]) == 2
    assert "has no build 'walk'" in capsys.readouterr().err


# vet: what an author reads

TWELVE = """\
shop: lane
name: Lane
currency: EUR
labour-rate: many
tax: 20
goodwill: 100
colour: red
---
checks:
  level:
    ask: Where does the oil stand?
    hours: -1
    answers: {low: Low, ok: Right}
    given: {default: {low: 5, okay: 95}, worn: 120}
  noise:
    ask: 漢字 is it loud?
    hours: 0.1
    answers: {yes: Loud, no: Quiet}
    cautions: [hott]
---
faults:
  worn: {title: Worn, why: Age., repair: [renwe], verify: [Listen.]}
---
engine: vee
title: Vee
work:
  renew: {title: Renew, hours: [1, 2], after: []}
  clean: {title: Clean, hours: 1, afer: [renew]}
  clean: {title: Clean again, hours: 1}
---
tree: rattle
title: Rattle
date: 2026-13-01
weights: {worn: 1}
other: 1
start: level
nodes:
  level: {check: level, then: {low: end, ok: ned}}
  end: {outcome: worn}
"""


def test_twelve_mistakes_are_twelve_problems_of_one_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(TWELVE, encoding="utf-8")
    assert main(["vet", str(path), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)["problems"]
    places = [(problem["line"], problem["rule"]) for problem in found if problem["severity"] == "error"]
    assert places == [
        (4, "wrong-type"),
        (7, "unknown-key"),
        (12, "out-of-range"),
        (14, "unknown-answer"),
        (14, "out-of-range"),
        (19, "unknown-caution"),
        (22, "unknown-step"),
        (27, "wrong-type"),
        (28, "unknown-key"),
        (29, "duplicate-key"),
        (33, "wrong-type"),
        (38, "unknown-node"),
    ]


def test_a_key_twice_names_both_places(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(TWELVE, encoding="utf-8")
    main(["vet", str(path)])
    out = capsys.readouterr().out
    (line,) = [line for line in out.splitlines() if "[duplicate-key]" in line]
    assert line.startswith(f"{path}:29:3: error: ")
    assert "line 28, column 3" in line


def test_each_problem_shows_its_line_a_caret_and_the_nearest_id(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(TWELVE, encoding="utf-8")
    main(["vet", str(path)])
    lines = capsys.readouterr().out.splitlines()
    at = next(at for at, line in enumerate(lines) if line.startswith(f"{path}:38:"))
    head = re.fullmatch(rf"{re.escape(str(path))}:38:46: error: (?P<message>.+) \[unknown-node\]", lines[at])
    assert head
    assert "'ned'" in head["message"]
    source, caret = lines[at + 1], lines[at + 2]
    assert source == "    " + "level: {check: level, then: {low: end, ok: ned}}"
    assert caret == " " * source.index("ned}") + "^^^"
    assert lines[at + 3] == "help: The nearest node is 'end'."


def test_a_caret_stands_under_the_right_cells_of_wide_characters(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "library.yaml"
    path.write_text("cautions: {a: 漢字, B: e\u0301é, c: d}\n", encoding="utf-8")
    main(["vet", str(path)])
    lines = capsys.readouterr().out.splitlines()
    at = next(at for at, line in enumerate(lines) if "[bad-id]" in line)
    assert lines[at].startswith(f"{path}:1:19: error: ")
    assert lines[at + 2] == "  " + " " * 20 + "^"  # each of the two wide ones takes two cells


@pytest.mark.parametrize("form", [[], ["--json"]], ids=str)
def test_every_rule_is_explained(form: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    for rule in ids():
        assert main(["vet", "--explain", rule, *form]) == 0, rule
        out, err = capsys.readouterr()
        assert err == ""
        text = json.dumps(json.loads(out)) if form else out
        assert rule in text
        assert "Wrong:" in text, rule
        assert "Right:" in text, rule


# vet: what a server reads


def sarif(path: Path, capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    assert main(["vet", str(path), "--sarif"]) == 1
    log = json.loads(capsys.readouterr().out)
    jsonschema.Draft7Validator(json.loads(SARIF.read_text(encoding="utf-8"))).validate(log)
    results: list[dict[str, Any]] = log["runs"][0]["results"]
    return results


def test_sarif_is_valid_with_relative_paths_and_columns_from_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "sub" / "library.yaml"
    path.parent.mkdir()
    path.write_text(TWELVE, encoding="utf-8")
    places = [one["locations"][0]["physicalLocation"] for one in sarif(path, capsys)]
    assert {place["artifactLocation"]["uri"] for place in places} == {"sub/library.yaml"}
    assert min(place["region"]["startColumn"] for place in places) >= 1
    assert min(place["region"]["startLine"] for place in places) >= 1
    assert (38, 46) in {(place["region"]["startLine"], place["region"]["startColumn"]) for place in places}


def test_fingerprints_stay_when_a_blank_line_is_inserted_above(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(TWELVE, encoding="utf-8")
    before = sarif(path, capsys)
    path.write_text(f"\n# A word.\n\n{TWELVE}", encoding="utf-8")
    after = sarif(path, capsys)
    assert [one["partialFingerprints"] for one in before] == [one["partialFingerprints"] for one in after]
    assert len({json.dumps(one["partialFingerprints"]) for one in before}) == len(before)
