"""The cars of a drill: as the tables have them, and the same for everybody."""

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from diagtree.graph.serving import builds
from diagtree.practice.car import Bay, Car, _fit, draw
from diagtree.reason.belief import Belief, belief
from diagtree.source.reader import read

MANY = 4000


@pytest.fixture(scope="module")
def bay() -> Bay:
    library = read(str(Path(__file__).resolve().parents[1] / "foreign" / "pump")).library
    engine = next(iter(library.engines.values()))
    return Bay(library, library.trees["noisy-pump"], engine, builds(engine))


def drawn(bay: Bay, seed: int = 1, number: int = 1, **options: str) -> Car:
    car = draw(bay, seed, number, **options)  # type: ignore[arg-type]
    assert isinstance(car, Car)
    return car


def test_causes_and_builds_come_as_often_as_the_belief_has_them(bay: Bay) -> None:
    cars = [drawn(bay, 3, number) for number in range(1, MANY + 1)]
    now = belief(bay.library, bay.tree, bay.builds, [])
    assert isinstance(now, Belief)
    for expected, counts in (
        (now.by_fault, Counter(car.fault for car in cars)),
        (now.by_build, Counter(car.case.build.id for car in cars)),
    ):
        for name, chance in expected.items():
            error = 4 * (chance * (1 - chance) / MANY) ** 0.5
            assert counts[name] / MANY == pytest.approx(chance, abs=error + 1e-12), name


def test_answers_come_as_often_as_the_rows_have_them(bay: Bay) -> None:
    fault = bay.known.causes[0]
    cars = [drawn(bay, 5, number, fault=fault) for number in range(1, MANY + 1)]
    of = cars[0].case
    same = [car for car in cars if car.case is of]
    for check in of.free:
        counts = Counter(car.answers[check.id] for car in same)
        for place, chance in enumerate(check.rows[:, of.causes.index(fault)].tolist()):
            error = 4 * (chance * (1 - chance) / len(same)) ** 0.5
            assert counts[place] / len(same) == pytest.approx(chance, abs=error + 1e-12)


def test_a_seed_and_a_number_give_the_same_car_again(bay: Bay) -> None:
    first, again, other = drawn(bay, 9, 2), drawn(bay, 9, 2), drawn(bay, 9, 3)
    assert (first.fault, first.answers) == (again.fault, again.answers)
    assert (first.fault, first.answers, first.case.build) != (other.fault, other.answers, other.case.build)


def test_plain_cars_show_what_they_have_and_tricky_ones_do_not(bay: Bay) -> None:
    fault = bay.known.causes[0]
    means = {}
    for level in ("plain", "usual", "tricky"):
        cars = [drawn(bay, 5, number, fault=fault, level=level) for number in range(1, 101)]
        means[level] = np.mean([_fit(car.case, car.cause, car.answers) for car in cars])
    assert means["plain"] > means["usual"] > means["tricky"]


def test_a_fault_that_the_tree_or_the_build_has_not_is_refused(bay: Bay) -> None:
    assert isinstance(draw(bay, 1, fault="no-such-fault"), str)
    excluded = [
        (build, fault.id)
        for build in bay.builds
        for fault in bay.library.faults.values()
        if fault.id in bay.tree.weights and not fault.when.admits(build.features)
    ]
    assert excluded
    for build, fault in excluded:
        refused = draw(Bay(bay.library, bay.tree, bay.engine, (build,)), 1, fault=fault)
        assert isinstance(refused, str)
        assert fault in refused
