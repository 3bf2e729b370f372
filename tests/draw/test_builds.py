"""A drawing of some builds alone, and of a car that a job holds."""

import io
import json
from pathlib import Path

import pypdf
import pytest

from diagtree.cli import main
from diagtree.draw.addresses import addresses
from diagtree.draw.body import Show
from diagtree.draw.compose import Look, compose
from diagtree.draw.picture import Picture, overflow
from diagtree.graph.serving import builds, served
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.scope.scope import scope
from diagtree.source.reader import read

DEMO = read(str(Path(__file__).parents[2] / "trees")).library
LONGER = """
engine: e
title: E
builds:
  early: {share: 1, size: small}
  middle: {share: 1, size: middle}
  late: {share: 1, size: large}
features: {size: {title: Size, values: [small, middle, large], tell: Look}}
work:
  mend-small: {title: M, hours: 2, when: {size: [small]}}
  mend-middle: {title: M, hours: 1004, when: {size: [middle]}}
  mend-large: {title: M, hours: 9040, when: {size: [large]}}
---
checks: {c: {ask: A?, hours: 1, answers: {a: A, b: B}}}
---
faults:
  f: {title: F, why: F., repair: [mend-small, mend-middle, mend-large], verify: [Look.]}
---
tree: t
title: T
other: 5
weights: {f: 1}
start: n
nodes:
  n: {check: c, then: {a: x, b: x}}
  x: {outcome: f}
"""


def _drawn(library: Library, tree: Tree, engine: Engine, *made: Build) -> Picture:
    own = frozenset(build.id for build in made)
    picture = compose(library, tree, (engine,), "", Look(Show(builds=own)))
    assert isinstance(picture, Picture)
    return picture


def _bill(picture: Picture, name: str) -> str:
    box = next(box for box in picture.nodes if box.id == name)
    return " ".join(word.text for word in box.words if word.role == "small" and not word.text.startswith("from "))


@pytest.mark.parametrize("tree", ["oil-sludge", "rattle-on-cold-start"])
def test_hours_and_parts_of_one_build_are_those_of_its_scope(tree: str) -> None:
    made = DEMO.trees[tree]
    counted = 0
    for engine in served(DEMO, made):
        for build in builds(engine):
            picture = _drawn(DEMO, made, engine, build)
            assert overflow(picture) == ()
            assert {box.id: box.address for box in picture.nodes} == addresses(DEMO, made)
            for node in made.outcomes:
                faults = [DEMO.faults[name] for name in node.faults]
                here = [fault for fault in faults if fault.when.admits(build.features)]
                found = scope(DEMO, engine, (build,), here) if here else None
                if found and found.hours:
                    assert found.parts_cost is not None
                    said = f"{float(found.hours):.1f} h, parts {float(found.parts_cost):.0f} EUR"
                    assert _bill(picture, node.id).startswith(said), (engine.id, build.id, node.id)
                    counted += 1
    assert counted > 20


def test_a_bill_of_some_builds_that_is_longer_than_that_of_all_has_its_room(tmp_path: Path) -> None:
    """From 2 to 9040 hours is shorter in print than from 1004 to 9040."""
    (tmp_path / "x.yaml").write_text(LONGER, "utf-8")
    found = read(str(tmp_path))
    assert not [problem for problem in found.problems if problem.severity == "error"], found.problems
    library = found.library
    (engine,), tree = served(library, library.trees["t"]), library.trees["t"]
    early, middle, late = builds(engine)
    whole, some = _drawn(library, tree, engine), _drawn(library, tree, engine, middle, late)
    assert _bill(whole, "x").startswith("2.0\N{EN DASH}9040.0 h")
    assert _bill(some, "x").startswith("1004.0\N{EN DASH}9040.0 h")
    assert _bill(_drawn(library, tree, engine, early), "x").startswith("2.0 h")
    assert overflow(some) == ()
    spread = "its hours and parts, from the least build to the dearest; single prices before tax"
    one = _drawn(library, tree, engine, early)
    assert [any(spread in box.title for box in each.panels) for each in (whole, some, one)] == [True, True, False]
    assert [box.extent for box in whole.nodes] == [box.extent for box in some.nodes]


def _walked(monkeypatch: pytest.MonkeyPatch, file: Path, jobs: Path, typed: str, *options: str) -> list[str]:
    common = ["--library", str(file), "--jobs", str(jobs), "--job", "C-1"]
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    assert main(["walk", "rattle", *common, "--lines", *options]) == 0
    return ["draw", *common]


def test_the_drawing_of_a_job_is_of_its_build_and_names_job_and_vehicle(
    yaml_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    late = "--build", "late"
    draw = _walked(monkeypatch, yaml_file, tmp_path / "j.db", "ok\nyes\n", *late, "--vehicle", "Blue <van>")
    capsys.readouterr()
    counts = []
    for number, options in enumerate([[], list(late)]):
        out = tmp_path / f"{number}.svg"
        assert main([*draw, *options, "--out", str(out), "--json"]) == 0
        counts.append(json.loads(capsys.readouterr().out)["nodes"])
        text = out.read_text("utf-8")
        assert ">Job C-1 \N{MIDDLE DOT} Blue &lt;van&gt; \N{MIDDLE DOT} For build late only. What other builds" in text
        assert "the path of job C-1, its steps numbered" in text
    assert counts[0] == counts[1] < 25


def test_the_path_goes_on_in_the_other_tree(
    yaml_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    draw = _walked(monkeypatch, yaml_file, tmp_path / "j.db", "ok\nyes\nsludge\n")
    out = tmp_path / "x.pdf"
    assert main([*draw, "--onward", "--out", str(out)]) == 0
    capsys.readouterr()
    first, second = (" ".join(page.extract_text().split()) for page in pypdf.PdfReader(out).pages)
    known = read(str(yaml_file)).library
    at = addresses(known, known.trees["sludge"])
    assert [f"({number})" in first for number in range(1, 7)] == [True] * 5 + [False]  # (5) in the legend
    assert f"(5) is at {at['grade']} of 'Oil sludge'" in first
    # What was found of the oil's grade before decides there: the next step is the end.
    assert f"(5) \N{MIDDLE DOT} {at['grade']}" in second
    assert f"(6) \N{MIDDLE DOT} {at['change']}" in second
    assert "the path of job C-1, its steps numbered" in second
    assert " is at " not in second


def test_a_library_without_builds_says_nothing_of_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = LONGER.replace("[mend-small, mend-middle, mend-large]", "[]").partition("---\n")[2]
    (tmp_path / "x.yaml").write_text(text, "utf-8")
    for kind, name in (("--page", "x.html"), ("--out", "x.svg")):
        assert main(["draw", "t", kind, str(tmp_path / name), "--library", str(tmp_path / "x.yaml")]) == 0
        assert "For build" not in (tmp_path / name).read_text("utf-8")
    capsys.readouterr()
