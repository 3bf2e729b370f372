"""Colour in text for people: on a terminal, or where it is forced; never where it is refused."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pexpect
import pytest

from diagtree.cli.streams import _painted

ROOT = Path(__file__).resolve().parents[2]
PUMP = ("--library", str(ROOT / "tests" / "foreign" / "pump"))  # read in a tenth of the demo's time
SCOPE = ("scope", "impeller-worn", "--build", "tall", *PUMP)


def piped(*args: str, typed: str = "", **environment: str) -> str:
    """What the program writes into a pipe."""
    env = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "FORCE_COLOR"}} | environment
    command = [sys.executable, "-m", "diagtree", *args]
    return subprocess.run(command, input=typed, env=env, cwd=ROOT, capture_output=True, text=True, check=True).stdout


@pytest.fixture(scope="module")
def plain() -> str:
    """The scope where nothing is said of colour."""
    return piped(*SCOPE)


@pytest.mark.parametrize(
    ("wishes", "coloured"),
    [
        ({}, False),
        ({"FORCE_COLOR": "1"}, True),
        ({"FORCE_COLOR": ""}, False),
        ({"FORCE_COLOR": "1", "NO_COLOR": ""}, True),
        ({"FORCE_COLOR": "1", "NO_COLOR": "1"}, False),
    ],
)
def test_colour_in_a_pipe_only_where_it_is_forced_and_not_refused(
    wishes: dict[str, str], coloured: bool, plain: str
) -> None:
    text = piped(*SCOPE, **wishes)
    assert ("\x1b[" in text) == coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", text) == plain


def test_json_and_a_piped_walk_are_never_coloured() -> None:
    assert "\x1b" not in piped(*SCOPE, "--json", FORCE_COLOR="1")
    walk = ("walk", "low-flow", *PUMP)
    assert "\x1b" not in piped(*walk, typed="quit\n", FORCE_COLOR="1")


@pytest.mark.parametrize(
    ("wishes", "coloured"),
    [({}, True), ({"NO_COLOR": "1"}, False), ({"NO_COLOR": ""}, True), ({"TERM": "dumb"}, False)],
)
def test_a_terminal_is_written_in_colour_unless_it_is_refused(wishes: dict[str, str], coloured: bool) -> None:
    env = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "FORCE_COLOR"}}
    child = pexpect.spawn(
        sys.executable, ["-m", "diagtree", *SCOPE], cwd=str(ROOT), encoding="utf-8", timeout=120,
        env={**env, "TERM": "xterm", **wishes},
    )  # fmt: skip
    child.expect(pexpect.EOF)
    assert ("\x1b[" in (child.before or "")) == coloured


def test_what_is_coloured_says_it_in_words_too() -> None:
    text = "Outcome: Chain: long\n  STOP: Turn by hand.\nNot to STOP: here.\nParts:\n- one:\n"
    assert _painted(text) == (
        "\x1b[1mOutcome:\x1b[0m Chain: long\n  \x1b[1;31mSTOP:\x1b[0m Turn by hand.\nNot to STOP: here.\n"
        "\x1b[1mParts:\x1b[0m\n- one:\n"
    )
