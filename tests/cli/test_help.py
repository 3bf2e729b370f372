"""`diagtree help`: topics, refusals, the manual page."""

import json
from pathlib import Path

import pytest

from diagtree.cli import COMMANDS, main
from diagtree.model.library import NOTICE
from diagtree.report.topics import TOPICS
from diagtree.rules.registry import ids

MAN = Path(__file__).parents[2] / "diagtree" / "man" / "diagtree.1"


def said(capsys: pytest.CaptureFixture[str], *argv: str) -> str:
    assert main(["help", *argv]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def test_without_a_topic_all_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys)
    assert [line.split()[0] for line in out.splitlines() if line.startswith("  ")] == list(TOPICS)
    assert NOTICE in " ".join(out.split())


@pytest.mark.parametrize("topic", TOPICS)
def test_a_topic_is_plain_text_of_72_columns(capsys: pytest.CaptureFixture[str], topic: str) -> None:
    out = said(capsys, topic)
    assert out.startswith(f"{topic.upper()}: ")
    assert out.endswith("\n")
    assert max(map(len, out.splitlines())) <= 72
    assert all(character.isprintable() or character == "\n" for character in out)
    assert out.isascii()


@pytest.mark.parametrize("topic", TOPICS)
def test_json_holds_the_same_text(capsys: pytest.CaptureFixture[str], topic: str) -> None:
    assert json.loads(said(capsys, topic, "--json")) == {"topic": topic, "text": said(capsys, topic)}


def test_json_of_the_list(capsys: pytest.CaptureFixture[str]) -> None:
    assert json.loads(said(capsys, "--json")) == {"topic": None, "text": said(capsys), "topics": list(TOPICS)}


def test_the_topic_on_vet_holds_every_rule(capsys: pytest.CaptureFixture[str]) -> None:
    rows = {line.split()[0] for line in said(capsys, "vet").split("The rules\n")[1].splitlines() if line.strip()}
    assert set(ids()) <= rows


def test_the_topic_on_safety_says_who_decides(capsys: pytest.CaptureFixture[str]) -> None:
    assert NOTICE in " ".join(said(capsys, "safety").split())


@pytest.mark.parametrize(
    ("topic", "sentence"),
    [
        ("draw", "There is no topic 'draw'. The nearest is 'drawing'. `diagtree draw --help` tells of the command.\n"),
        ("saftey", "There is no topic 'saftey'. The nearest is 'safety'.\n"),
        ("../files", "There is no topic '../files'. The nearest is 'files'.\n"),
        (
            "\x1b[2J",
            "There is no topic ' [2J'. There are: start, walk, estimate, scope, sheets, timing, vet, drawing, ….\n",
        ),
    ],
)
def test_an_unknown_topic_is_refused_with_the_nearest(
    capsys: pytest.CaptureFixture[str], topic: str, sentence: str
) -> None:
    assert main(["help", topic]) == 2
    assert capsys.readouterr() == ("", sentence)


@pytest.mark.parametrize("beside", [["vet"], ["--json"]])
def test_the_manual_page_stands_alone(capsys: pytest.CaptureFixture[str], beside: list[str]) -> None:
    assert main(["help", "--man", *beside]) == 2
    assert capsys.readouterr().out == ""


def test_the_manual_page_holds_every_command_and_topic(capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, "--man")
    for command in COMMANDS:
        assert f'.SS "diagtree {command}' in out
    for topic in TOPICS:
        assert f'.SH "{topic.upper()}"\n' in out


def test_the_committed_manual_page_is_the_one_that_the_program_makes(capsys: pytest.CaptureFixture[str]) -> None:
    """Where this fails: `diagtree help --man > diagtree/man/diagtree.1`."""
    assert MAN.read_text(encoding="utf-8") == said(capsys, "--man")
