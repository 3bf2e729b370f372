"""The manual page: every command, option and topic in it, and nothing that roff would obey."""

import shutil
import subprocess
from argparse import ArgumentParser

import pytest

from diagtree.report.roff import escape, page


def made(topic: str = "START: a heading\n\nBody.\n") -> str:
    parser = ArgumentParser(prog="x", description="Do it.")
    parser.add_argument("what", nargs="+", metavar="WHAT", help="what to do, at 5%% or more")
    parser.add_argument("--paper", choices=("A4", "A3"), help="the sheet")
    parser.add_argument("--all", action="store_true", help="all of it")
    return page("1.2", "Says what it is.", {"do": parser}, {"start": topic})


def shown(text: str) -> str:
    done = subprocess.run(
        ["groff", "-man", "-Tascii", "-P-cbou", "-ww", "-rLL=72n"],
        input=text,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    return done.stdout


def test_operands_options_and_their_values_stand_in_it() -> None:
    text = made()
    assert '.SS "diagtree do WHAT ..."\nDo it.\n.TP\n\\fIWHAT\\fR\nWhat to do, at 5% or more.\n' in text
    assert "\\fB\\-\\-paper\\fR \\fI{A4,A3}\\fR\nThe sheet.\n" in text
    assert "\\fB\\-\\-all\\fR\nAll of it.\n" in text


@pytest.mark.parametrize(
    ("line", "escaped"),
    [
        (".so /etc/passwd", r"\&.so /etc/passwd"),
        ("'br", r"\&\(aqbr"),
        (r"a\b", r"a\eb"),
        ("--json", r"\-\-json"),
        ("`x`", r"\(gax\(ga"),
    ],
)
def test_a_line_is_shown_and_not_obeyed(line: str, escaped: str) -> None:
    assert escape(line) == escaped


@pytest.mark.skipif(shutil.which("groff") is None, reason="groff is not installed")
def test_groff_shows_a_topic_as_it_is_written() -> None:
    lines = ["    $ diagtree new first", "    | 'x' \\ ~ ^ ` - \"", ".TH", "", "  a    b"]
    text = shown(made("START: a heading\n\n" + "\n".join(lines) + "\n"))
    margin = " " * 7
    for line in filter(None, lines):
        assert margin + line in text.splitlines()
