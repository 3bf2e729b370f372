"""The walk line by line, as the program runs it."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pexpect
import pytest

from tests.walk.samples import NOISE, YES_NO

if TYPE_CHECKING:
    from collections.abc import Iterator

PROGRAM = [sys.executable, "-m", "diagtree"]
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """A folder with both samples."""
    (tmp_path / "noise.yaml").write_text(NOISE, encoding="utf-8")
    (tmp_path / "lamp.yaml").write_text(YES_NO, encoding="utf-8")
    return tmp_path


def run(library: Path, *args: str, replies: str = "") -> subprocess.CompletedProcess[str]:
    """The program with its standard input a pipe."""
    return subprocess.run(
        [*PROGRAM, "--library", str(library), "walk", *args],
        input=replies,
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
        timeout=60,
    )


def test_a_piped_walk_to_an_outcome(files: Path) -> None:
    done = run(files / "lamp.yaml", "lamp", replies="yes\n")
    assert done.returncode == 0
    assert done.stderr == ""
    assert done.stdout.startswith(
        "Lamp\n"
        "The maker's service data, local rules and licensed practice decide over anything\n"
        "said here. Stop where you are not sure.\n"
        "\n"
        "1. Is the lamp lit?\n"
        "   Takes about 6 minutes.\n"
        "   1  yes  Lit\n"
        "   2  no   Dark\n"
        "\n"
        "   Likeliest, of cars like this: about 50 in 100 Bulb; about 50 in 100 Fuse.\n"
        "> yes\n"
        "\n"
        "Outcome: Bulb\n"
    )


def test_stop_cautions_stand_on_standard_error_and_no_escape_code_anywhere(files: Path) -> None:
    done = run(files / "noise.yaml", "rattle", replies="low\n")
    assert done.stderr == "STOP: Valves and pistons share space. Turn by hand.\n"
    assert "Warning: Hot oil. Let it cool." in done.stdout
    assert "\x1b" not in done.stdout + done.stderr


def test_empty_lines_and_comments_are_passed_over(files: Path) -> None:
    done = run(files / "lamp.yaml", "lamp", "--json", replies="\n# the bulb\n   \n2\n")
    assert json.loads(done.stdout)["outcome"] == {"node": "fuse", "faults": ["fuse"]}


def test_a_refused_answer_is_one_sentence_and_the_question_again(files: Path) -> None:
    done = run(files / "lamp.yaml", "lamp", replies="perhaps\nyes\n")
    assert done.stderr == "'perhaps' is no answer here. Give a number from 1 to 2, or one of: yes, no.\n"
    assert done.stdout.count("1. Is the lamp lit?") == 2
    assert done.returncode == 0


def test_the_end_of_the_input_stops_with_what_is_known(files: Path) -> None:
    done = run(files / "noise.yaml", "rattle", replies="ok")
    assert done.returncode == 0
    assert "The input has ended. The walk stops here with what is known so far." in done.stdout
    assert "The walk stopped before this question: Oil pressure at hot idle?" in done.stdout


def test_json_alone_is_on_standard_output_and_questions_are_on_standard_error(files: Path) -> None:
    done = run(files / "noise.yaml", "rattle", "--json", "--feature", "chain=roller", replies="ok\n14 psi\n")
    data = json.loads(done.stdout)
    assert data["build"] == "early"
    assert data["outcome"] == {"node": "pump", "faults": ["pump-worn"]}
    assert "Oil pressure at hot idle?" in done.stderr


def test_answers_known_before_give_the_same_object_as_typed_ones(files: Path) -> None:
    (files / "known.yaml").write_text("pressure: 104 kPa\nstored-codes: [P0016, P0018]\noil-level: low\n")
    typed = run(files / "noise.yaml", "rattle", "--json", replies="ok\n104\nP0016+P0018\nworn\n")
    known = run(
        files / "noise.yaml", "rattle", "--json", "--answers", str(files / "known.yaml"), "--answer", "oil-level=ok",
        "--answer", "plates=worn",
    )  # fmt: skip
    assert json.loads(known.stdout) == json.loads(typed.stdout)


def test_back_takes_an_outcome_back_too(files: Path) -> None:
    done = run(files / "lamp.yaml", "lamp", "--json", replies="yes\nback\nno\n")
    assert json.loads(done.stdout)["path"] == ["lit", "fuse"]


def test_lines_after_the_end_are_said_to_be_unread(files: Path) -> None:
    done = run(files / "lamp.yaml", "lamp", replies="yes\n1\n1\n")
    assert done.stderr == "The walk has ended: '1' and what follows it were not read.\n"


@pytest.mark.parametrize(
    ("args", "sentence"),
    [
        (["rattle", "--answer", "oil-level"], "'oil-level' is no answer. Write CHECK=ANSWER, such as oil-level=ok."),
        (["rattle", "--answer", "oil=ok"], "'oil' is no check of this library."),
        (["rattle", "--answer", "plates=worn", "--build", "early"], "does not apply to the build 'early'."),
        (["rattle", "--answer", "pressure=9 N m"], "'N m' is no pressure."),
        (["ratle"], "The library has no tree 'ratle'. The nearest is 'rattle'."),
    ],
)
def test_wrong_use_is_a_sentence_and_nothing_on_standard_output(files: Path, args: list[str], sentence: str) -> None:
    done = run(files / "noise.yaml", *args, replies="ok\n")
    assert done.returncode == 2
    assert done.stdout == ""
    assert sentence in done.stderr


def test_a_file_of_answers_that_is_no_mapping_has_its_place(files: Path) -> None:
    (files / "known.yaml").write_text("- oil-level: low\n")
    done = run(files / "noise.yaml", "rattle", "--answers", str(files / "known.yaml"))
    assert done.returncode == 2
    assert "known.yaml:1:1: error: This is no answer." in done.stderr


def test_wild_replies_are_refused_and_the_walk_goes_on(files: Path) -> None:
    wild = ["nan", "1e999", "-", "x" * 100_000, "\x1b[2J", "9" * 5000, "=", "again", "build=none", "back", "\u202e"]
    done = run(files / "noise.yaml", "rattle", "--json", replies="ok\n" + "\n".join(wild) + "\nok\n104\n")
    assert done.returncode == 0
    assert "\x1b" not in done.stderr
    assert "Traceback" not in done.stderr


def test_the_words_of_a_pipe_change_and_tell_what_the_keys_do(files: Path) -> None:
    replies = "ok\nnote seeps\nanswers\ntrees\n150\nrevise 2 104\ninfo\nwhy\nchange\nhelp\njump inside\nback\nquit\n"
    done = run(files / "noise.yaml", "rattle", "--feature", "chain=silent", replies=replies)
    assert done.returncode == 0
    for said in (
        "Noted of 'oil-level': seeps",
        "1. oil-level: Where does the oil stand on the dipstick? Between the marks. Note: seeps",
        "inside: Inside the cover",
        "104 kPa: At or above the limit.",
        "Still possible, of 100 cars like this",
        "2. Oil pressure at hot idle? At or above the limit (104 kPa).",
        "both-banks (both banks): ",
        "What would change it, nearest first:",
        "revise N ANSWER tell one of them anew",
        "On in another tree: Inside the cover. All answers are kept.",
        "The walk stops here with what is known so far.",
    ):
        assert said in " ".join(done.stdout.split()), said
    assert "\x1b" not in done.stdout + done.stderr


@pytest.mark.parametrize(
    ("reply", "sentence"),
    [
        ("revise", "Nothing was told so far."),
        ("revise pressure 3", "'pressure' was not told yet. Nothing was told so far."),
        ("jump", "Other trees for this engine: inside."),
        ("jump nowhere", "'nowhere' is no tree to go on in here. Other trees for this engine: inside."),
        ("jump rattle", "The walk is in the tree 'rattle' already."),
        ("note", "Type what to note behind it."),
        ("note " + "x" * 301, "A note has at most 300 characters; this one has 301."),
    ],
)
def test_a_word_that_can_not_be_done_is_a_sentence_and_the_question_again(
    files: Path, reply: str, sentence: str
) -> None:
    done = run(files / "noise.yaml", "rattle", replies=f"{reply}\nquit\n")
    assert sentence in done.stderr
    assert done.stdout.count("1. Where does the oil stand") == 2


def test_an_id_of_an_answer_comes_before_a_word_and_a_colon_before_both(files: Path) -> None:
    """An author may call an answer what he likes."""
    text = YES_NO.replace('"yes"', "why").replace('"no"', "quit")
    (files / "odd.yaml").write_text(text, encoding="utf-8")
    done = run(files / "odd.yaml", "lamp", "--json", replies="why\n")
    assert json.loads(done.stdout)["outcome"]["node"] == "bulb"
    done = run(files / "odd.yaml", "lamp", "--json", replies=":quit\nquit\n")
    assert json.loads(done.stdout)["outcome"] is None


def test_a_line_of_a_megabyte_is_refused_in_a_sentence(files: Path) -> None:
    done = run(files / "noise.yaml", "rattle", "--json", replies="9" * 1_000_000 + "\nok\n" + "1e308\nnan\n150\n")
    assert json.loads(done.stdout)["readings"] == {"pressure": {"value": 150.0, "unit": "kPa"}}
    assert max(map(len, done.stderr.splitlines())) < 600


def test_every_stop_caution_on_a_terminal_wants_a_letter_of_its_own(files: Path) -> None:
    two = NOISE.replace("cautions: [hot-engine]", "cautions: [hot-engine, one]").replace(
        "  hot-engine:", "  one: {say: First., level: stop}\n  hot-engine:"
    )
    (files / "two.yaml").write_text(two, encoding="utf-8")
    argv = ["-m", "diagtree", "--library", str(files / "two.yaml"), "walk", "rattle", "--lines", "--no-job"]
    child = pexpect.spawn(sys.executable, argv, cwd=str(ROOT), encoding="utf-8", timeout=120)
    child.expect_exact("Type u and Enter when you have read this. ")
    for _ in range(5):
        child.sendline("")
    child.expect_exact("Type u and Enter when you have read this. ")
    child.sendline("u")
    child.expect_exact("Type y and Enter when you have read this. ")
    child.sendline("u")
    child.expect_exact("Type y and Enter when you have read this. ")
    child.sendline("y")
    child.expect_exact("1. Where does the oil stand")
    child.close(force=True)


@pytest.fixture
def terminal(files: Path) -> "Iterator[pexpect.spawn[str]]":
    """`walk --lines` on a terminal."""
    argv = ["-m", "diagtree", "--library", str(files / "noise.yaml"), "walk", "rattle", "--lines", "--no-job"]
    child = pexpect.spawn(
        sys.executable, argv, cwd=str(ROOT), encoding="utf-8", timeout=120, env={**os.environ, "TERM": "xterm"}
    )
    yield child
    child.close(force=True)


def test_lines_on_a_terminal_wait_for_the_caution_to_be_read(terminal: "pexpect.spawn[str]") -> None:
    terminal.expect_exact("Type y and Enter when you have read this. ")
    terminal.sendline("y")
    terminal.expect_exact("> ")
    terminal.sendline("low")
    terminal.expect_exact("Enter ends the walk")
    terminal.sendline("")
    terminal.expect(pexpect.EOF)
    shown = terminal.before or ""
    assert "Repair scope: Oil level low" in shown
    assert not re.search("[\x1b\u2500-\u257f]", shown)
    terminal.close()
    assert terminal.exitstatus == 0


def test_an_interrupt_leaves_with_130_and_no_traceback(terminal: "pexpect.spawn[str]") -> None:
    terminal.expect_exact("Type y and Enter when you have read this. ")
    terminal.sendintr()
    terminal.expect(pexpect.EOF)
    assert "Traceback" not in (terminal.before or "")
    terminal.close()
    assert terminal.exitstatus == 130


def test_a_slip_at_the_end_on_a_terminal_does_not_leave(terminal: "pexpect.spawn[str]") -> None:
    terminal.expect_exact("Type y and Enter when you have read this. ")
    terminal.sendline("y")
    terminal.expect_exact("> ")
    terminal.sendline("low")
    terminal.expect_exact("Enter ends the walk")
    terminal.sendline("bakc")
    terminal.expect_exact("The walk has ended here. Go back to change an answer.")
    terminal.expect_exact("Enter ends the walk")
    terminal.sendline("back")
    terminal.expect_exact("1. Where does the oil stand")


def test_lines_fit_a_narrow_terminal(files: Path) -> None:
    argv = ["-m", "diagtree", "--library", str(files / "noise.yaml"), "walk", "rattle", "--lines", "--no-job"]
    narrow = pexpect.spawn(sys.executable, argv, cwd=str(ROOT), encoding="utf-8", timeout=120, dimensions=(20, 34))
    narrow.expect_exact("Type y and Enter when you have read this. ")
    shown = narrow.before or ""
    narrow.sendline("y")
    narrow.expect_exact("> ")
    shown += narrow.before or ""
    narrow.sendline("perhaps")
    narrow.expect_exact("> ")
    shown += narrow.before or ""
    narrow.sendline("low")
    narrow.expect_exact("> ")
    narrow.sendline("")
    narrow.expect(pexpect.EOF)
    shown += narrow.before or ""
    assert "Repair scope" in shown
    own = [line for line in shown.splitlines() if not line.startswith("Enter ends the walk")]
    assert max(map(len, own)) <= 34
