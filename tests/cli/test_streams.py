"""Standard output and error that are closed or full: one sentence, an exit code, never a traceback."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FULL = Path("/dev/full")
SMALL = str(ROOT / "tests" / "foreign" / "small.yaml")
COMMANDS = [
    ["scope", "bulb-burnt"], ["scope", "bulb-burnt", "--json"], ["walk", "dark-lamp"], ["vet"], ["help", "walk"],
]  # fmt: skip

needs_full = pytest.mark.skipif(not FULL.exists(), reason="this system has no device that is always full")


def run(redirection: str, *args: str) -> subprocess.CompletedProcess[str]:
    """The program behind a shell's redirection."""
    line = f'exec "$0" -m diagtree "$@" {redirection}'
    settings = {**os.environ, "DIAGTREE_LIBRARY": SMALL}
    return subprocess.run(
        ["sh", "-c", line, sys.executable, *args],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
        env=settings,
        stdin=subprocess.DEVNULL,
        timeout=60,
    )


@pytest.mark.parametrize("args", [*COMMANDS, ["--version"], ["--help"]], ids=" ".join)
def test_a_closed_standard_output_is_said_in_one_sentence(args: list[str]) -> None:
    done = run(">&-", *args)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "The output could not be written: standard output is closed.\n"


@needs_full
@pytest.mark.parametrize("args", COMMANDS, ids=" ".join)
def test_a_full_disk_is_said_in_one_sentence(args: list[str]) -> None:
    done = run(f"> {FULL}", *args)
    assert done.returncode == 2
    assert done.stderr == "The output could not be written: No space left on device.\n"


@needs_full
def test_a_refusal_that_nobody_can_read_still_has_its_exit_code() -> None:
    done = run(f"2> {FULL}", "scope", "nosuch")
    assert (done.returncode, done.stdout) == (2, "")
