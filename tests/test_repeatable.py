"""One commit has one verdict, wherever the tests run and whoever starts them; see `tests/conftest.py`."""

import pkgutil
import signal
import subprocess
import sys
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

import diagtree

ROOT = Path(__file__).resolve().parents[1]
MODULES = {module.name for module in pkgutil.walk_packages(diagtree.__path__, "diagtree.")}


def test_only_the_wide_run_draws_by_chance() -> None:
    assert settings().derandomize is (settings.get_current_profile_name() != "wide")


@given(st.none())
def test_examples_are_drawn_from_the_constants_of_every_module(nothing: None) -> None:
    assert nothing is None
    assert sys.modules.keys() >= MODULES


def test_the_programs_of_the_tests_can_be_interrupted() -> None:
    assert signal.getsignal(signal.SIGINT) is not signal.SIG_IGN


def test_tests_that_a_shell_starts_behind_itself_can_be_interrupted_too() -> None:
    """Such a shell has interrupts ignored in all that it starts so; three tests failed of it."""
    test = f"{__file__}::{test_the_programs_of_the_tests_can_be_interrupted.__name__}"
    line = f"trap '' INT; exec '{sys.executable}' -m pytest -q -p no:cacheprovider '{test}'"
    ran = subprocess.run(["sh", "-c", line], cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout
