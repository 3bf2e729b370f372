"""The best scope now: against an independent trial of every union of repairs, and against what it says of itself."""

import random
from pathlib import Path

import pytest

from diagtree.graph.serving import builds
from diagtree.reason.case import Case, case
from diagtree.reason.looking import meant
from diagtree.reason.standing import Standing, start
from diagtree.source.reader import read
from tests.oracle.believing import best_scope, mean_loss
from tests.oracle.libraries import random_library
from tests.oracle.reading import read_library

FOREIGN = Path(__file__).parents[1] / "foreign"


def standings(path: Path, seed: int) -> list[Standing]:
    """Some beliefs and some work done, for each tree and build of a library."""
    draw = random.Random(seed)
    library = read(str(path)).library
    found = []
    for tree in library.trees.values():
        if tree.onwards:
            continue
        for engine in library.engines.values():
            for build in builds(engine):
                of = case(library, tree, engine, build)
                for opened in (0, of.closed(draw.sample(of.steps, min(2, len(of.steps))))):
                    chances = of.prior * [draw.choice([0.0, 1.0, draw.random()]) for _ in of.causes]
                    if chances.sum() > 0:
                        found.extend([start(of), Standing(of, chances, opened)])
    return found


def by_trial(path: Path, here: Standing) -> tuple[float, set[str]]:
    of: Case = here.case
    other = read_library(path)
    engine = other.engines[of.engine.id]
    chances = {cause: chance / here.mass for cause, chance in zip(of.causes, here.chances.tolist(), strict=True)}
    faults = of.library.faults
    admitted = {
        cause: chance
        for cause, chance in chances.items()
        if cause not in faults or faults[cause].when.admits(of.build.features)
    }
    return best_scope(other, engine, dict(of.build.features), admitted, opened=set(of.names(here.done)))


def check(path: Path, here: Standing) -> None:
    of = here.case
    found = here.stop()
    loss, _ = by_trial(path, here)
    assert found is not None
    assert found.loss / here.mass == pytest.approx(loss, abs=1e-7)
    other = read_library(path)
    chances = {cause: chance / here.mass for cause, chance in zip(of.causes, here.chances.tolist(), strict=True)}
    faults = [of.causes[at] for at in meant(here, found)]
    wanted = [step for fault in faults for step in of.library.faults[fault].repair if step in of.steps]
    own = mean_loss(
        other,
        other.engines[of.engine.id],
        dict(of.build.features),
        chances,
        wanted=wanted,
        opened=set(of.names(here.done)),
    )
    assert own == pytest.approx(loss, abs=1e-7), "the faults named do not make up the scope"


@pytest.mark.parametrize("name", ["pump", "boiler"])
def test_foreign_libraries_agree_with_every_union_tried(name: str) -> None:
    for here in standings(FOREIGN / name, 7):
        check(FOREIGN / name, here)


@pytest.mark.parametrize("seed", range(25))
def test_random_libraries_agree_with_every_union_tried(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "lib.yaml"
    path.write_text(random_library(seed))
    found = standings(path, seed)
    assert found
    for here in found:
        check(path, here)
