"""Following states finds exactly what listing every path finds."""

from collections.abc import Iterator, Mapping
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.model.check import Answer, Check
from diagtree.model.library import Library
from diagtree.model.quantity import NO_HOURS, Amount
from diagtree.model.tree import Node, Onward, Outcome, Question, Tree
from diagtree.rules import forbidden_path, paths
from diagtree.rules.paths import follow, ground
from tests.rules import finding

ANSWERS = ("a", "b")
CHECKS = ("c0", "c1", "c2", "c3")


@st.composite
def _questions(draw: st.DrawFn, prefix: str, last: Node) -> dict[str, Node]:
    """A tree's nodes: each leads only to later ones, the last is given."""
    count = draw(st.integers(1, 6))
    nodes: dict[str, Node] = {}
    names = [f"{prefix}{index}" for index in range(count)] + [last.id]
    for index in range(count):
        later = st.sampled_from(names[index + 1 :])
        then = {answer: draw(later) for answer in ANSWERS}
        otherwise = draw(st.one_of(st.just(""), later))
        nodes[names[index]] = Question(names[index], draw(st.sampled_from(CHECKS)), then, otherwise)
    return {**nodes, last.id: last}


@st.composite
def _libraries(draw: st.DrawFn) -> Library:
    rows = st.dictionaries(st.sampled_from(CHECKS), st.sets(st.sampled_from(ANSWERS), min_size=1).map(tuple))
    texts = tuple(Answer(answer, answer) for answer in ANSWERS)
    checks = {name: Check(name, name, texts, NO_HOURS, never_after=draw(rows)) for name in CHECKS}
    weights = {"f": Amount(1.0)}
    first = draw(_questions("n", Onward("on", "two")))
    second = draw(_questions("m", Outcome("end", ("f",))))
    trees = {
        "one": Tree("one", "One", weights, "n0", first),
        "two": Tree("two", "Two", weights, "m0", second),
    }
    return Library(checks=checks, trees=trees)


def _listed(library: Library, tree: str, name: str, known: Mapping[str, str]) -> Iterator[tuple[str, str, str, str]]:
    """Every forbidden question met on any path, one path after another."""
    node = library.trees[tree].nodes[name]
    if isinstance(node, Onward):
        yield from _listed(library, node.tree, library.trees[node.tree].start, known)
    if not isinstance(node, Question):
        return
    if node.check in known:
        yield from _listed(library, tree, node.then[known[node.check]], known)
        return
    for after, answers in library.checks[node.check].never_after.items():
        if known.get(after) in answers:
            yield tree, name, after, known[after]
    for answer, end in node.then.items():
        yield from _listed(library, tree, end, {**known, node.check: answer})
    if node.otherwise:
        yield from _listed(library, tree, node.otherwise, known)


@given(_libraries())
def test_the_same_forbidden_questions_as_by_listing_paths(library: Library) -> None:
    every = {met for tree in library.trees.values() for met in _listed(library, tree.id, tree.start, {})}
    found = list(forbidden_path.check(library))
    assert len(found) == len(every)
    for _, name, after, answer in every:
        asked = [node.check for tree in library.trees.values() for node in tree.questions if node.id == name]
        start = f"'{after}' answered '{answer}' leads here"
        assert any(one.message.startswith(start) and f"and '{asked[0]}' must" in one.message for one in found)


NEVER_MET = """\
checks:
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
  crank: {ask: Even?, hours: 0.1, answers: {even: Even, odd: Odd}, never-after: {level: [low]}}
---
tree: rattle
title: Rattle
weights: {worn: 1}
start: c
nodes:
  a: {check: level, then: {low: b, ok: b}}
  b: {check: crank, then: {even: c, odd: c}}
  c: {outcome: worn}
"""


def test_a_forbidden_question_that_no_path_meets_is_not_reported(tmp_path: Path) -> None:
    assert finding.find(tmp_path, "forbidden-path", NEVER_MET) == []
    assert finding.find(tmp_path, "forbidden-path", NEVER_MET.replace("start: c", "start: a")) != []


def _ladder(length: int) -> Library:
    """A tree whose paths join after every question: 2 ** length paths."""
    texts = tuple(Answer(answer, answer) for answer in ANSWERS)
    checks = {f"c{index}": Check(f"c{index}", "Ask?", texts, NO_HOURS) for index in range(length)}
    names = [*(f"n{index}" for index in range(length)), "end"]
    nodes: dict[str, Node] = {
        name: Question(name, f"c{index}", dict.fromkeys(ANSWERS, after))
        for index, (name, after) in enumerate(pairwise(names))
    }
    nodes["end"] = Outcome("end", ("f",))
    return Library(checks=checks, trees={"t": Tree("t", "T", {"f": Amount(1.0)}, "n0", nodes)})


def test_a_tree_whose_paths_join_costs_its_nodes_and_not_its_paths() -> None:
    library = _ladder(2000)
    on = ground(library, library.trees["t"], lambda _check: ())
    assert on
    followed = follow(on, on.applying({}))
    assert followed.whole
    assert len(followed.states) == 2001


def test_a_ring_has_no_ground() -> None:
    nodes: dict[str, Node] = {"a": Question("a", "c0", {"a": "a"})}
    tree = Tree("t", "T", {}, "a", nodes)
    assert ground(Library(trees={"t": tree}), tree, lambda _check: ()) is None


TWICE = """\
checks:
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
  crank: {ask: Even?, hours: 0.1, answers: {even: Even, odd: Odd}, never-after: {level: [low]}}
---
tree: rattle
title: Rattle
weights: {worn: 1}
start: a
nodes:
  a: {check: level, then: {low: b, ok: b}}
  b: {check: crank, then: {even: c, odd: c}}
  c: {outcome: worn}
"""


def test_a_tree_too_wide_to_follow_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(paths, "MOST_STATES", 1)
    (only,) = forbidden_path.check(finding.library(tmp_path, TWICE))
    assert (only.severity, only.line, only.column) == ("warning", 5, 7)
    assert only.message == (
        "Tree 'rattle' asks so many checks more than once that not every path was followed. Ask fewer of them twice."
    )


def test_within_the_limit_it_is_followed(tmp_path: Path) -> None:
    assert [line for line, *_ in finding.find(tmp_path, "forbidden-path", TWICE)] == [11]
