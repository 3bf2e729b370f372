"""Three kinds of trainees over ten thousand cars each, against an independent computation of what they cost."""

from collections.abc import Callable
from pathlib import Path
from random import Random
from statistics import fmean, stdev

import pytest

from diagtree.graph.serving import builds
from diagtree.practice.car import Bay, Car, draw
from diagtree.practice.trainee import Adviser, Trainee, by_chance, by_tree, cost, run
from diagtree.reason.belief import Belief, belief
from diagtree.source.reader import read
from tests.oracle.deciding import (
    Answers,
    Bench,
    answer_chances,
    benches,
    best_cost,
    best_loss,
    open_checks,
    opened,
    price,
    walk_cost,
)
from tests.oracle.libraries import random_library
from tests.oracle.reading import read_library

MANY = 10_000
FOREIGN = Path(__file__).resolve().parents[1] / "foreign"


def by_chance_on_average(bench: Bench, answers: Answers = frozenset()) -> float:
    """Any check that is open or the best scope, each as likely, and so on."""

    def work_out() -> float:
        names = open_checks(bench, answers)
        total = best_loss(bench, answers, opened(bench, answers))
        for name in names:
            total += price(bench, name, opened(bench, answers))
            for answer, chance in answer_chances(bench, answers, name).items():
                if chance > 0:
                    total += chance * by_chance_on_average(bench, answers | {(name, answer)})
        return total / (len(names) + 1)

    found: float = bench.note(("by chance", answers), work_out)
    return found


TRAINEES: dict[str, tuple[Callable[[], Trainee], Callable[[Bench], float]]] = {
    "best order": (Adviser, best_cost),
    "tree": (lambda: by_tree, walk_cost),
    "chance": (lambda: by_chance(Random(7)), by_chance_on_average),
}


PROBLEMS = {"pump": "noisy-pump", "boiler": "lockout", "seed 3": "trial"}


@pytest.fixture(scope="module", params=PROBLEMS)
def problem(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Car], Bench]:
    """Ten thousand cars with a problem, and what it is by the plain reading."""
    path = FOREIGN / request.param
    if not path.exists():
        path = tmp_path_factory.mktemp("practice") / "library.yaml"
        path.write_text(random_library(3))
    library, tree = read(str(path)).library, PROBLEMS[request.param]
    engine = next(iter(library.engines.values()))
    build = builds(engine)[0]
    bay = Bay(library, library.trees[tree], engine, (build,))
    drawn = [draw(bay, 11, number) for number in range(1, MANY + 1)]
    cars = [car for car in drawn if not isinstance(car, str)]
    return cars, benches(read_library(path), tree)[build.id]


@pytest.mark.parametrize("kind", TRAINEES)
def test_the_mean_cost_of_ten_thousand_drills_is_what_it_should_be(kind: str, problem: tuple[list[Car], Bench]) -> None:
    cars, bench = problem
    make, expected = TRAINEES[kind]
    trainee = make()
    costs = [cost(run(car, trainee)) for car in cars]
    assert len(costs) == MANY
    # Four standard errors: one run in 16,000 strays further by luck, and the seed is fixed.
    assert abs(fmean(costs) - expected(bench)) < 4 * stdev(costs) / MANY**0.5


def test_cars_of_all_builds_cost_by_the_tree_what_each_build_costs_mixed() -> None:
    """The build is told to the trainee, so the mean is that of the builds, as often as each comes in."""
    path = FOREIGN / "pump"
    library = read(str(path)).library
    engine = next(iter(library.engines.values()))
    made = builds(engine)
    assert len(made) > 1
    drawn = [draw(Bay(library, library.trees["noisy-pump"], engine, made), 5, at) for at in range(1, 3001)]
    cars = [car for car in drawn if not isinstance(car, str)]
    costs = [cost(run(car, by_tree)) for car in cars]
    bench = benches(read_library(path), "noisy-pump")
    now = belief(library, library.trees["noisy-pump"], made, [])
    assert isinstance(now, Belief)
    expected = sum(chance * walk_cost(bench[build]) for build, chance in now.by_build.items() if chance)
    assert abs(fmean(costs) - expected) < 4 * stdev(costs) / len(costs) ** 0.5
