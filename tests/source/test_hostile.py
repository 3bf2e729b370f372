"""Files that are broken, or meant to hurt: a sentence with a place, no exception, nothing run, nothing written."""

import os
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.model.problem import Problem
from diagtree.report.problems import as_text
from diagtree.source.composer import HIDDEN
from diagtree.source.reader import read

BOMB = (
    b"checks: {a: &b0 [x], "
    + b", ".join(b"k%d: &b%d [%s]" % (i, i, b",".join([b"*b%d" % (i - 1)] * 9)) for i in range(1, 12))
    + b"}"
)

FILES = {
    "alias bomb": (BOMB, "too-large"),
    "deep lists": (b"tree: " + b"[" * 20_000 + b"]" * 20_000, "syntax"),
    "deep mappings": (b"tree: " + b"{a: " * 20_000 + b"}" * 20_000, "too-large"),
    "deep blocks": (b"\n".join(b" " * depth + b"a:" for depth in range(2_000)), "too-large"),
    "many digits": (b"shop: a\ntax: " + b"9" * 20_000, "wrong-type"),
    "python tag": (b"shop: !!python/object/apply:os.system ['exit']", "tag"),
    "nul": (b"shop: a\x00b", "hidden-character"),
    "escape sequence": (b"shop: a\nname: \x1b[31mred", "hidden-character"),
    "escape sequence by name": (b'shop: a\nname: "\\e[31mred"', "hidden-character"),
    "text turned round": ("shop: a\nname: b\u202ec".encode(), "hidden-character"),
    "not utf-8": (b"shop: a\nname: \xff", "not-utf8"),
    "utf-16": ("shop: a".encode("utf-16"), "not-utf8"),
    "tab": (b"shop: a\n\tname: b", "syntax"),
    "list as a key": (b"? [a]\n: b", "syntax"),
    "open quote": (b"shop: 'a", "syntax"),
    "nothing": (b"", "empty-file"),
    "comments only": (b"# later\n", "empty-file"),
    "a word": (b"hello", "wrong-type"),
}


def problems_of(path: Path) -> tuple[Problem, ...]:
    return read(str(path)).problems


@pytest.mark.parametrize("name", FILES)
def test_a_hostile_file_is_refused_with_a_sentence_and_a_place(tmp_path: Path, name: str) -> None:
    content, rule = FILES[name]
    file = tmp_path / "lib.yaml"
    file.write_bytes(content)
    found = problems_of(file)
    assert rule in {problem.rule for problem in found}
    assert all(problem.file == str(file) and problem.line >= 1 and problem.column >= 1 for problem in found)
    assert all(len(problem.message) < 300 and problem.message.isprintable() for problem in found)
    assert os.listdir(tmp_path) == ["lib.yaml"]  # noqa: PTH208


def test_a_byte_order_mark_is_passed_over(tmp_path: Path) -> None:
    file = tmp_path / "lib.yaml"
    file.write_bytes(b"\xef\xbb\xbfcautions: {a: Hot.}\n")
    assert problems_of(file) == ()


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "lib.yaml")
    (problem,) = problems_of(tmp_path)
    assert problem.message == "This is no plain file. Name a YAML file or a folder of them."


def test_a_link_that_leads_back_is_followed_once(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("cautions: {a: Hot.}\n")
    (tmp_path / "again").symlink_to(tmp_path, target_is_directory=True)
    found = read(str(tmp_path))
    assert found.problems == ()
    assert len(found.texts) == 1


@pytest.mark.parametrize("path", ["gone", "gone\nname\x1b[31m", "nul\x00name", ""])
def test_a_path_that_can_not_be_read_is_a_problem(tmp_path: Path, path: str) -> None:
    (problem,) = read(str(tmp_path / path) if path else "").problems
    assert problem.rule == "unreadable-file"
    assert problem.file.isprintable()


def test_a_folder_without_a_library_says_so(tmp_path: Path) -> None:
    (tmp_path / ".hidden.yaml").write_text("repos: []\n")
    (problem,) = problems_of(tmp_path)
    assert problem.message == "No *.yaml file stands in this folder. Name a library's folder or file."


def test_a_bomb_takes_little_memory(tmp_path: Path) -> None:
    file = tmp_path / "lib.yaml"
    file.write_bytes(BOMB)
    tracemalloc.start()
    problems_of(file)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 20_000_000


@settings(max_examples=300, deadline=None)
@given(text=st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=200))
def test_any_text_is_read_or_refused(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    file = tmp_path_factory.mktemp("any") / "lib.yaml"
    file.write_bytes(text.encode())
    found = read(str(file))
    shown = as_text(found.problems, found.texts)
    assert not HIDDEN.search(shown)


WORDS = [
    "shop",
    "engine",
    "tree",
    "checks",
    "given",
    "answers",
    "work",
    "when",
    "x",
    "1",
    "[",
    "]",
    "{",
    "}",
    ":",
    ": ",
    ", ",
    "\n",
    "\n  ",
    "- ",
    "&a ",
    "*a",
    "!t ",
    "'",
    '"',
    "|\n",
    "#",
    "~",
    "1e9",
    "-1",
    "é",
    "漢",
]


@settings(max_examples=500, deadline=None)
@given(words=st.lists(st.sampled_from(WORDS), max_size=40))
def test_any_jumble_of_yaml_is_read_or_refused(tmp_path_factory: pytest.TempPathFactory, words: list[str]) -> None:
    file = tmp_path_factory.mktemp("any") / "lib.yaml"
    file.write_text("".join(words), encoding="utf-8")
    found = read(str(file))
    assert all(problem.line >= 1 and problem.column >= 1 for problem in found.problems)
    as_text(found.problems, found.texts)
