"""What to check next, through the program; brute force over every order of the checks must agree."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any

import pytest

from tests.oracle.believing import conflict
from tests.oracle.deciding import (
    TIE,
    Bench,
    Mixture,
    applies,
    benches,
    best_cost,
    chances,
    loss,
    mends,
    mixed_belief,
    mixed_looks,
    mixed_moves,
    mixed_residuals,
    mixed_stop,
    mixture,
    opened,
    repair,
    walk_cost,
)
from tests.oracle.libraries import random_library
from tests.oracle.program import run, run_all, vetted
from tests.oracle.reading import Library, read_library, read_text

if TYPE_CHECKING:
    from tests.oracle.believing import Evidence
    from tests.oracle.scoping import Features

FOREIGN = Path(__file__).parent / "foreign"
TRADES = {"pump": ("noisy-pump", "low-flow"), "boiler": ("lockout", "no-hot-water")}
# Libraries of at most five checks. In most of them some build has a first move that no single look would choose.
SEEDS = (1, 3, 15, 20, 24, 30, 40, 60, 76, 90, 96, 117)
TREES = [
    *((name, tree) for name, trees in TRADES.items() for tree in trees),
    *((f"seed-{seed}", "trial") for seed in SEEDS),
]
PATIENCE = ("--seconds", "60")  # the search ends by itself long before: no result hangs on how busy the machine is
OTHER_UNITS = {"bar": ("kPa", 100.0), "mm": ("cm", 0.1), "mV": ("V", 0.001)}


@dataclass(frozen=True, slots=True)
class Case:
    """One question to the program: what is known of the build, what was answered, and how that is typed."""

    known: Features
    evidence: Evidence
    typed: tuple[str, ...]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Random libraries, each one file."""
    path = tmp_path_factory.mktemp("random")
    for seed in SEEDS:
        (path / f"seed-{seed}.yaml").write_text(random_library(seed), encoding="utf-8")
    return path


def place(folder: Path, name: str) -> Path:
    return FOREIGN / name if name in TRADES else folder / f"{name}.yaml"


@cache
def read(name: str) -> Library:
    return read_library(FOREIGN / name) if name in TRADES else read_text(random_library(int(name.split("-")[1])))


@cache
def by_build(name: str, tree: str) -> dict[str, Bench]:
    return benches(read(name), tree)


def near(value: Any) -> Any:
    return pytest.approx(value, rel=1e-9, abs=1e-4)


# Questions


def drawn_evidence(bench: Bench, random: Random, count: int) -> Evidence:
    """Draw answers to checks of the whole library that apply to a build and that no other one of them forbids."""
    every = [check for check in bench.library.checks if applies(bench, check)]
    chosen = random.sample(every, min(count, len(every)))
    evidence: Evidence = {}
    for check in chosen:
        never = bench.library.checks[check].get("never-after") or {}
        if not set(never) & set(chosen):
            evidence[check] = drawn_reply(bench.library, check, random)
    return evidence


def drawn_reply(library: Library, check: str, random: Random) -> str | float:
    """Draw an answer, or a reading near a limit."""
    table = library.checks[check]
    if "reading" not in table:
        return str(random.choice(list(table["answers"])))
    limits = [float(band["below"]) for band in table["answers"].values() if "below" in band]
    spread = 2 * float(table["reading"]["uncertainty"])
    return round(random.choice(limits) + random.uniform(-spread, spread), 4)


def typed_answers(library: Library, evidence: Evidence, random: Random) -> list[str]:
    """Type the answers, some of the readings in another unit."""
    typed = []
    for check, reply in evidence.items():
        text = str(reply)
        if not isinstance(reply, str):
            unit = library.checks[check]["reading"]["unit"]
            other, times = OTHER_UNITS[unit]
            text = random.choice([f"{reply} {unit}", f"{reply * times:.9g} {other}"])
        typed += ["--answer", f"{check}={text}"]
    return typed


def build_cases(name: str, tree: str, counts: tuple[int, ...]) -> list[Case]:
    """Ask for a known build with so many answers, drawn build by build."""
    random = Random(f"{name} {tree} known")
    cases = []
    every = list(by_build(name, tree).items())
    first = random.randrange(len(every))
    for turn, count in enumerate(counts):
        build, bench = every[(first + turn) % len(every)]
        evidence = drawn_evidence(bench, random, count)
        typed = ("--build", build, *typed_answers(bench.library, evidence, random))
        cases.append(Case(bench.features, evidence, typed))
    return cases


def open_cases(name: str, tree: str, counts: tuple[int, ...]) -> list[Case]:
    """Ask with one feature known, or none, and so many answers that some build allows."""
    random = Random(f"{name} {tree} open")
    cases = []
    for turn, count in enumerate(counts):
        bench = random.choice(list(by_build(name, tree).values()))
        known = dict([random.choice(list(bench.features.items()))]) if turn % 2 else {}
        evidence = drawn_evidence(bench, random, count)
        given = [item for key, value in known.items() for item in ("--feature", f"{key}={value}")]
        cases.append(Case(known, evidence, (*given, *typed_answers(bench.library, evidence, random))))
    return cases


def agree_on_all(folder: Path, name: str, tree: str, cases: list[Case]) -> None:
    path = str(place(folder, name))
    results = run_all([(["--library", path, "next", tree, *case.typed, *PATIENCE, "--json"], "") for case in cases])
    for case, result in zip(cases, results, strict=True):
        mixed = mixture(by_build(name, tree), case.known, case.evidence)
        answer = result.data()
        agree_on_stop(mixed, answer)
        agree_on_checks(mixed, answer)
        agree_on_first_move(mixed, answer)
        one = next(iter(by_build(name, tree).values()))
        wanted = conflict(one.library, one.engine, one.library.trees[tree], case.evidence, case.known)
        assert answer["conflict"] == near(wanted)


# Answers


def agree_on_stop(mixed: Mixture, answer: Any) -> None:
    believed = {line["fault"]: line["probability"] for line in answer["belief"]}
    want = mixed_belief(mixed)
    every = {*believed, *want}  # a fault of none of the builds that are left may stand there with 0
    assert {cause: believed.get(cause, 0.0) for cause in every} == pytest.approx(
        {cause: want.get(cause, 0.0) for cause in every}, abs=1e-6
    )
    stop = answer["stop"]
    assert stop["loss"] == near(mixed_stop(mixed))
    low, high = mixed_residuals(mixed)
    assert low - 1e-6 <= stop["residual"] <= high + 1e-6
    if len(mixed.left) == 1:
        ((_, bench),) = mixed.left.values()
        agree_on_certificate(bench, mixed, stop)


def agree_on_certificate(bench: Bench, mixed: Mixture, stop: Any) -> None:
    """The scope that is named has the loss that is named, and mends what it says."""
    done = opened(bench, mixed.answers)
    assert loss(bench, mixed.answers, done, stop["repair"]) == near(stop["loss"])
    inside = repair(bench, stop["repair"])
    mended = {cause for cause in chances(bench, mixed.answers) if mends(bench, cause, stop["repair"], inside | done)}
    assert set(stop["mends"]) == mended
    steps = {line if isinstance(line, str) else line["step"] for line in stop["steps"]}
    assert inside - done <= steps <= inside | done | set(bench.library.trees)


def agree_on_checks(mixed: Mixture, answer: Any) -> None:
    lines = {line["check"]: line for line in answer["checks"]}
    want = mixed_looks(mixed)
    assert len(lines) == len(answer["checks"])
    assert set(lines) == set(want)
    for check, one in want.items():
        line = lines[check]
        assert line["price"] == near(one.price)
        assert line["worth"] == near(one.worth)
        assert line["information"] == near(one.information)
        assert line["net"] == near(one.net)
        assert line["answers"] == near(one.answers)
    nets = [line["net"] for line in answer["checks"]]
    assert all(one >= two - TIE for one, two in pairwise(nets))


def agree_on_first_move(mixed: Mixture, answer: Any) -> None:
    moves = mixed_moves(mixed)
    least = min(moves.values())
    advice = answer["advice"]
    assert advice["cost"] == near(least)
    assert advice["bound"] == near(least)
    assert advice["exact"] is True
    assert moves[advice["check"]] <= least + TIE, moves


@pytest.mark.parametrize(("name", "tree"), TREES)
def test_known_builds_before_any_answer(folder: Path, name: str, tree: str) -> None:
    agree_on_all(folder, name, tree, build_cases(name, tree, (0,) * (4 if name in TRADES else 1)))


@pytest.mark.parametrize(("name", "tree"), TREES)
def test_known_builds_after_some_answers(folder: Path, name: str, tree: str) -> None:
    agree_on_all(folder, name, tree, build_cases(name, tree, (1, 2, 3, 1, 2) if name in TRADES else (1, 2)))


@pytest.mark.parametrize(("name", "tree"), TREES)
def test_open_builds(folder: Path, name: str, tree: str) -> None:
    agree_on_all(folder, name, tree, open_cases(name, tree, (0, 0, 1, 1, 2, 2) if name in TRADES else (0, 1, 2)))


def test_every_check_answered_leaves_only_to_stop() -> None:
    path = str(FOREIGN / "pump")
    given = {"strainer-drop": "free", "discharge-pressure": "right", "soap-test": "whole", "ring-clearance": "close"}
    typed = [item for check, answer in given.items() for item in ("--answer", f"{check}={answer}")]
    answer = run(("--library", path, "next", "low-flow", "--build", "tall", *typed, "--json")).data()
    assert answer["checks"] == []
    assert answer["advice"] == {
        **answer["advice"],
        "check": None,
        "cost": near(answer["stop"]["loss"]),
        "bound": near(answer["stop"]["loss"]),
        "exact": True,
    }


def test_a_check_that_an_answer_forbids_is_not_offered() -> None:
    path = str(FOREIGN / "boiler")
    high, right = run_all(
        [
            (["--library", path, "next", "no-hot-water", "--build", "c9", "--answer", f"{one}", "--json"], "")
            for one in ("system-pressure=2.3 bar", "system-pressure=right")
        ]
    )
    assert {line["check"] for line in high.data()["checks"]} == {"tap-flow", "pipe-feel"}
    assert {line["check"] for line in right.data()["checks"]} == {"tap-flow", "pipe-feel", "pump-spin"}


def test_without_money_and_work_no_check_pays() -> None:
    """The lamp's faults need no work and a come-back costs nothing: hours alone decide, to stop."""
    path = FOREIGN / "small.yaml"
    answer = run(("--library", str(path), "next", "dark-lamp", "--json")).data()
    mixed = mixture(benches(read_library(path), "dark-lamp"), {}, {})
    agree_on_stop(mixed, answer)
    agree_on_checks(mixed, answer)
    agree_on_first_move(mixed, answer)
    assert answer["advice"]["check"] is None


# Costs of trees


@pytest.mark.parametrize("name", [*TRADES, *(f"seed-{seed}" for seed in SEEDS)])
def test_the_costs_of_every_tree_in_every_build(folder: Path, name: str) -> None:
    trees = vetted(run(("vet", str(place(folder, name)), *PATIENCE, "--json")))
    library = read(name)
    (engine,) = library.engines
    assert set(trees) == set(library.trees)
    for tree, by_engine in trees.items():
        assert set(by_engine) == {engine}
        every = by_build(name, tree)
        assert set(by_engine[engine]) == set(every)
        for build, costs in by_engine[engine].items():
            assert costs["walk_cost"] == near(walk_cost(every[build])), (tree, build)
            assert costs["best_cost"] == near(best_cost(every[build])), (tree, build)
            assert costs["bound"] == near(best_cost(every[build])), (tree, build)
            assert costs["exact"] is True
