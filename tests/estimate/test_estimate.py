"""The whole estimate against an independent reckoning, path by path, and against 400,000 drawn visits."""

from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest

from diagtree.estimate.estimate import Estimate, Visit, estimate
from diagtree.graph.serving import builds
from diagtree.model.library import Library
from diagtree.reason.finding import Finding, plain
from diagtree.source.reader import read
from diagtree.walk.answers import read_finding
from tests.oracle import estimating as oracle
from tests.oracle.libraries import random_library
from tests.oracle.reading import Library as Plain
from tests.oracle.reading import read_library

TREES = Path(__file__).resolve().parents[2] / "trees"
FOREIGN = Path(__file__).resolve().parents[1] / "foreign"
DRAWS = 400_000
# Library, tree, answers known, what is known of the build, how slow.
VISITS: list[tuple[str, str, dict[str, str], dict[str, str], str]] = [
    ("pump", "noisy-pump", {}, {}, "1"),
    ("pump", "low-flow", {}, {}, "1.3"),
    ("boiler", "lockout", {}, {}, "1"),
    ("boiler", "no-hot-water", {}, {}, "0.7"),
    *((f"seed-{seed}", "trial", {}, {}, "1") for seed in (0, 1, 2, 3, 4, 6)),
    ("seed-7", "trial", {"look-1": "yes"}, {}, "1"),
    ("seed-8", "trial", {"gauge": "fair", "look-0": "no"}, {"size": "small"}, "1.25"),
    ("seed-9", "trial", {}, {"drive": "2"}, "1"),
]
# Tree, engine, build, answers known as they are typed. The rattle has too many paths to follow each from its start.
DEMO: list[tuple[str, str, str, dict[str, str]]] = [
    ("oil-sludge", "brennick-v8", "van-late", {}),
    ("cam-crank-correlation", "brennick-i4", "taxi-late", {}),
    ("cam-crank-correlation", "brennick-v8", "coach-early", {"companion-codes": "P0016+P0011"}),
    (
        "rattle-on-cold-start",
        "brennick-i4",
        "taxi-early",
        {"stored-codes": "P0016+P0018", "filter-cut": "clean", "oil-level": "ok", "rattle-length": "stays"},
    ),
    (
        "rattle-on-cold-start",
        "brennick-v8",
        "van-late",
        {"stored-codes": "P0011+P0520", "oil-pressure-hot-idle": "ok", "oil-level": "ok", "filter-cut": "clean"},
    ),
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Random libraries, each one file."""
    path = tmp_path_factory.mktemp("random")
    for seed in range(10):
        (path / f"seed-{seed}.yaml").write_text(random_library(seed), encoding="utf-8")
    return path


@cache
def _library(path: Path) -> Library:
    return read(str(path)).library


@cache
def _plainly(path: Path) -> Plain:
    return read_library(path)


def both(folder: Path, visit: tuple[str, str, dict[str, str], dict[str, str], str]) -> tuple[Estimate, list[Any]]:
    """The program's estimate, and every path of the plain reading."""
    name, tree, known, features, slow = visit
    path = folder / f"{name}.yaml" if name.startswith("seed-") else FOREIGN / name
    library = _library(path)
    (engine,) = library.engines.values()
    made = tuple(
        build for build in builds(engine) if all(build.features[key] == value for key, value in features.items())
    )
    findings = tuple(plain(library.checks[check], answer) for check, answer in known.items())
    found = estimate(Visit(library, library.trees[tree], engine, made, findings), float(slow))
    assert isinstance(found, Estimate)
    (table,) = read_library(path).engines.values()
    every = list(oracle.paths(read_library(path), table, tree, dict(known), dict(features), slow))
    return found, every


@pytest.mark.parametrize("visit", VISITS, ids=lambda one: f"{one[0]}-{one[1]}")
def test_outcomes_agree_with_every_path_followed_by_itself(folder: Path, visit: Any) -> None:
    found, every = both(folder, visit)
    path = folder / f"{visit[0]}.yaml" if visit[0].startswith("seed-") else FOREIGN / visit[0]
    want = oracle.outcomes(read_library(path), every)
    got = {frozenset(one.faults): one for one in found.outcomes}
    assert set(got) == set(want)
    assert len(got) == len(found.outcomes)
    for faults, one in want.items():
        assert got[faults].probability == pytest.approx(one["probability"], abs=1e-9)
        assert got[faults].hours == pytest.approx(one["hours"], abs=1e-7)
        assert got[faults].parts == pytest.approx(one["parts"], abs=1e-7)
        assert got[faults].cost == pytest.approx(one["cost"], rel=1e-9, abs=1e-6)
        assert got[faults].residual == pytest.approx(one["residual"], abs=1e-9)
    assert found.hours.mean == pytest.approx(sum(p.chance * float(p.hours()) for p in every), abs=1e-7)
    assert found.residual == pytest.approx(sum(p.chance * p.residual for p in every), abs=1e-9)


@pytest.mark.parametrize("visit", VISITS, ids=lambda one: f"{one[0]}-{one[1]}")
def test_stages_agree_with_every_path_followed_by_itself(folder: Path, visit: Any) -> None:
    found, every = both(folder, visit)
    for at, stage in enumerate(found.stages):
        assert stage.settled == pytest.approx(sum(p.chance for p in every if p.last == at), abs=1e-9)
        assert stage.hours.mean == pytest.approx(sum(p.chance * float(p.hours(at)) for p in every), abs=1e-7)
        assert stage.cost.mean == pytest.approx(
            found.library.rates.labour_rate * stage.hours.mean + sum(p.chance * float(p.parts[at]) for p in every)
        )
    assert found.stages[0].reached == 1
    assert found.stages[1].reached == pytest.approx(sum(p.chance for p in every if p.opened), abs=1e-9)
    assert found.stages[2].reached == pytest.approx(found.stages[2].settled)
    assert sum(stage.settled for stage in found.stages) == pytest.approx(1)


@pytest.mark.parametrize("visit", VISITS, ids=lambda one: f"{one[0]}-{one[1]}")
def test_percentiles_agree_with_drawn_visits(folder: Path, visit: Any) -> None:
    """At each drawn percentile, a grid step to either side, the law is within four sampling errors."""
    found, every = both(folder, visit)
    rate = found.library.rates.labour_rate
    for at, stage in enumerate(found.stages):
        hours, parts = oracle.draws(every, at, DRAWS, seed=Random(str(visit)).randrange(2**32))
        for law, drawn, step in (
            (stage.hours, hours, found.grid),
            (stage.cost, rate * hours + parts, found.grid * rate),
        ):
            error = drawn.std() / np.sqrt(DRAWS)
            assert law.mean == pytest.approx(drawn.mean(), abs=5 * error + 1e-9)
            for reach in (0.1, 0.5, 0.8, 0.95):
                near = 4 * np.sqrt(reach * (1 - reach) / DRAWS)
                there = law.percentile(reach)
                assert (drawn <= there + step + 1e-9).mean() >= reach - near
                assert (drawn < there - step - 1e-9).mean() <= reach + near


@pytest.mark.parametrize("visit", DEMO, ids=lambda one: f"{one[0]}-{one[2]}")
def test_the_demo_trees_agree_with_every_path_followed_by_itself(visit: Any) -> None:
    """With stored codes told as codes, and no `one-bank` on the engine with one bank."""
    tree, name, build, known = visit
    library, plainly = _library(TREES), _plainly(TREES)
    engine = library.engines[name]
    made = engine.builds[build]
    findings = tuple(read_finding(library.checks[check], engine, reply) for check, reply in known.items())
    assert all(isinstance(one, Finding) for one in findings)
    found = estimate(Visit(library, library.trees[tree], engine, (made,), findings))  # type: ignore[arg-type]
    assert isinstance(found, Estimate)
    every = list(oracle.paths(plainly, plainly.engines[name], tree, dict(known), dict(made.features)))
    want = oracle.outcomes(plainly, every, plainly.engines[name])
    got = {frozenset(one.faults): one for one in found.outcomes}
    assert set(got) == set(want)
    for faults, one in want.items():
        end = got[faults]
        assert (end.probability, end.residual) == pytest.approx((one["probability"], one["residual"]), abs=1e-9)
        assert (end.hours, end.parts, end.cost) == pytest.approx((one["hours"], one["parts"], one["cost"]), abs=1e-6)
    for at, stage in enumerate(found.stages):
        assert stage.hours.mean == pytest.approx(sum(p.chance * float(p.hours(at)) for p in every), abs=1e-7)
        assert stage.settled == pytest.approx(sum(p.chance for p in every if p.last == at), abs=1e-9)


def test_codes_are_the_first_answer_of_which_each_group_is_stored() -> None:
    """As the page says it, here of the plain reading: it must not share a mistake with the program."""
    plainly = _plainly(TREES)
    stored = {
        "P0016+P0018": "both-banks", "P0017": "bank-1", "P0019": "bank-2", "P0011+P0019": "bank-2", "P0011": "phaser",
        "P0420": "none", "": "none",
    }  # fmt: skip
    assert {codes: oracle.told(plainly, "stored-codes", codes) for codes in stored} == stored


def test_a_reading_known_weighs_every_band(folder: Path) -> None:
    """A reading between two bands steers by one and counts for both, here against the plain reading."""
    path = folder / "seed-1.yaml"
    library = _library(path)
    (engine,) = library.engines.values()
    low = min(band.end for band in _bands(library, engine) if band.end is not None)
    finding = read_finding(library.checks["gauge"], engine, f"{low + 0.1:g}")
    assert not hasattr(finding, "sentence")
    found = estimate(Visit(library, library.trees["trial"], engine, builds(engine), (finding,)))
    assert isinstance(found, Estimate)
    (table,) = read_library(path).engines.values()
    every = list(oracle.paths(read_library(path), table, "trial", {"gauge": round(low + 0.1, 6)}, {}))
    want = oracle.outcomes(read_library(path), every)
    got = {frozenset(one.faults): one.probability for one in found.outcomes}
    assert got == pytest.approx({faults: one["probability"] for faults, one in want.items()}, abs=1e-9)


def _bands(library: Library, engine: Any) -> list[Any]:
    from diagtree.measure.bands import bands_on

    return list(bands_on(library.checks["gauge"], engine).values())
