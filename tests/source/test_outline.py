"""First outlines of a tree, made of what a library has."""

from pathlib import Path

import pytest

from diagtree.source.outline import outlines
from diagtree.source.reader import read

CHECK = "  {name}: {{ask: Q, hours: {hours}, answers: {{y: Yes, n: No}}, given: {given}}}\n"
FAULT = "  {name}: {{title: T, why: W, repair: [], verify: []}}\n"


def library(tmp_path: Path, checks: str, *faults: str) -> Path:
    path = tmp_path / "library.yaml"
    path.write_text(f"checks:\n{checks}---\nfaults:\n" + "".join(FAULT.format(name=name) for name in faults))
    return path


def first(path: Path, name: str = "t") -> str:
    return next(outlines(read(str(path)).library, name), "")


def test_two_checks_stand_in_the_order_of_their_hours(tmp_path: Path) -> None:
    checks = CHECK.format(name="slow", hours=2, given="{default: 50, a: 99, b: 1}")
    checks += CHECK.format(name="quick", hours=0.1, given="{default: 10, c: 90}")
    text = first(library(tmp_path, checks, "a", "b", "c"))
    assert "start: quick\n" in text
    assert "  quick: {check: quick, then: {y: c, n: slow}, else: slow}\n" in text
    assert "  slow: {check: slow, then: {y: a, n: b}, else: cannot-tell}\n" in text
    assert "  cannot-tell: {outcome: [c, a, b]}\n" in text


def test_one_check_makes_a_tree_of_two_faults(tmp_path: Path) -> None:
    text = first(library(tmp_path, CHECK.format(name="only", hours=1, given="{default: 5, a: 95}"), "a", "b"))
    assert "weights:\n  a: 10  # T\n  b: 10  # T\n" in text
    assert "  only: {check: only, then: {y: a, n: b}, else: cannot-tell}\n" in text


@pytest.mark.parametrize("given", ["{default: 50, a: 60}", "{a: 90}", "{}", "{default: {y: 0, n: 0}, a: 90}"])
def test_checks_that_tell_no_faults_apart_make_no_tree(tmp_path: Path, given: str) -> None:
    assert not first(library(tmp_path, CHECK.format(name="only", hours=1, given=given), "a", "b"))


def test_a_kinds_row_counts_for_its_fault(tmp_path: Path) -> None:
    path = library(tmp_path, CHECK.format(name="only", hours=1, given="{default: 5, k: 95}"), "b")
    path.write_text(path.read_text() + "  a: {title: T, why: W, repair: [], verify: [], kind-of: k}\n")
    assert "then: {y: a, n: b}" in first(path)


def test_a_check_and_a_fault_of_one_id_stay_two_nodes(tmp_path: Path) -> None:
    text = first(library(tmp_path, CHECK.format(name="a", hours=1, given="{default: 5, a: 95}"), "a", "b"))
    path = tmp_path / "tree.yaml"
    path.write_text(text)
    found = read(str(path))
    assert found.problems == ()
    assert list(found.library.trees["t"].nodes) == ["a", "a-found", "b", "cannot-tell"]


def test_titles_stand_in_comments_on_one_line(tmp_path: Path) -> None:
    path = library(tmp_path, CHECK.format(name="only", hours=1, given="{default: 5, a: 95}"), "b")
    path.write_text(path.read_text() + '  a: {title: "one\\ntree: two", why: W, repair: [], verify: []}\n')
    assert "  a: 10  # one tree: two\n" in first(path)


@pytest.mark.parametrize("name", ["null", "2024", "1e5", "true", "cannot-tell"])
def test_names_that_yaml_could_take_for_something_else_stay_names(tmp_path: Path, name: str) -> None:
    path = tmp_path / "tree.yaml"
    checks = CHECK.format(name="only", hours=1, given="{default: 5, a: 95}")
    path.write_text(first(library(tmp_path, checks, "a", "b"), name))
    found = read(str(path))
    assert found.problems == ()
    assert list(found.library.trees) == [name]
