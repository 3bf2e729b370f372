"""Weights and tables from closed jobs."""

from collections import Counter
from pathlib import Path
from random import Random

import numpy as np
import pytest

from diagtree.graph.serving import builds
from diagtree.learning.cases import Alike, Shown, row_key
from diagtree.learning.mixture import learn
from diagtree.model.library import Library
from diagtree.practice.car import Bay, Car, draw
from diagtree.practice.drill import follow_tree
from diagtree.reason.belief import Belief, belief
from diagtree.reason.finding import plain
from diagtree.source.reader import read

JOBS = 50_000
FOREIGN = Path(__file__).resolve().parents[1] / "foreign" / "pump"


def jobs(library: Library, many: int, *, hidden: float, seed: int, walked: bool = False) -> list[Alike]:
    """Closed jobs drawn from the library's own tables, some faults not written down.

    Which checks were asked is up to chance; where it is walked, the tree decides it by the answers before.
    """
    engine = next(iter(library.engines.values()))
    bay = Bay(library, library.trees["noisy-pump"], engine, builds(engine))
    chance = Random(seed)
    found: Counter[Alike] = Counter()
    for number in range(1, many + 1):
        car = draw(bay, seed, number)
        assert isinstance(car, Car)
        of = car.case
        shown = {check.id: check.answers[car.answers[check.id]] for check in of.free}
        asked = on_the_way(car, shown) if walked else [name for name in shown if chance.random() < 0.8]
        told = tuple((name, shown[name]) for name in asked)
        fault = () if chance.random() < hidden else (car.fault,)
        found[Alike("noisy-pump", engine.id, (of.build.id,), told, fault, 1)] += 1
    return [Alike(one.tree, one.engine, one.builds, one.answers, one.faults, count) for one, count in found.items()]


def on_the_way(car: Car, shown: dict[str, str]) -> list[str]:
    """The checks that the tree asks of a car, in order."""
    known: dict[str, str] = {}
    while isinstance(name := follow_tree(car.case, known), str):
        known[name] = shown[name]
    return list(known)


@pytest.fixture(scope="module")
def library() -> Library:
    return read(str(FOREIGN)).library


@pytest.mark.parametrize(("hidden", "walked"), [(0.0, False), (1 / 3, False), (1 / 3, True)])
def test_a_known_table_is_found_again_within_its_sampling_error(
    library: Library,
    hidden: float,
    walked: bool,
) -> None:
    """Also where every walk was through the tree, so that what is asked depends on what was answered."""
    found = learn(library, jobs(library, JOBS, hidden=hidden, seed=4, walked=walked), strength=0.01)
    # A hidden fault is worth less than a known one: by how much differs, so that only the known ones are counted on.
    worth = 1 - hidden
    held = {name: row for name, row in found.rows.items() if row.cars >= 30}
    assert len(held) > 5
    for name, row in held.items():
        error = 4 * np.sqrt(row.author * (1 - row.author) / (row.cars * worth)) + 1e-9
        assert (np.abs(row.learned - row.author) <= error).all(), name
    cells = found.weights["noisy-pump"]
    error = 4 * np.sqrt(cells.author * (1 - cells.author) / (cells.cars * worth)) + 1e-9
    assert (np.abs(cells.learned - cells.author) <= error).all()
    assert cells.cars == pytest.approx(JOBS)


def test_without_jobs_nothing_moves(library: Library) -> None:
    found = learn(library, ())
    assert not found.rows
    assert not found.weights


def test_a_row_is_the_author_s_number_and_the_cars_mixed(library: Library) -> None:
    """Dirichlet: (n + strength * author) / (N + strength)."""
    tree, engine = library.trees["noisy-pump"], next(iter(library.engines.values()))
    build = builds(engine)[0]
    check = next(library.checks[name] for name in tree.checks if library.checks[name].when.admits(build.features))
    fault = next(
        name
        for name in tree.weights
        if name in library.faults
        and library.faults[name].when.admits(build.features)
        and row_key(library, check.id, name) == name
    )
    answers = [answer.id for answer in check.answers]
    counts = [7 - at for at in range(len(answers))]
    cases = [
        Alike(tree.id, engine.id, (build.id,), ((check.id, answer),), (fault,), many)
        for answer, many in zip(answers, counts, strict=True)
    ]
    row = learn(library, cases, strength=10).rows[check.id, fault]
    assert row.counts == pytest.approx(counts)
    assert row.learned == pytest.approx((np.array(counts) + 10 * row.author) / (sum(counts) + 10))


def test_a_hidden_fault_counts_by_what_its_answers_make_likely(library: Library) -> None:
    """One round from the author's numbers: the counts are the belief."""
    tree, engine = library.trees["noisy-pump"], next(iter(library.engines.values()))
    build = builds(engine)[0]
    check = next(library.checks[name] for name in tree.checks if library.checks[name].when.admits(build.features))
    answer = check.answers[0].id
    cases = [Alike(tree.id, engine.id, (build.id,), ((check.id, answer),), (), 1)]
    # So strong an author that one car moves nothing: the counts stay those of the first round.
    cells = learn(library, cases, strength=1e9).weights[tree.id]
    now = belief(library, tree, (build,), [plain(check, answer)])
    assert isinstance(now, Belief)
    by_cause: Counter[str] = Counter()
    for (cause, _), count in zip(cells.names, cells.counts.tolist(), strict=True):
        by_cause[cause] += count
    expected = {cause: chance for cause, chance in now.by_fault.items() if chance}
    assert {cause: by_cause[cause] for cause in expected} == pytest.approx(expected, abs=1e-6)


def test_counting_in_any_order_and_in_parts_is_the_same(library: Library) -> None:
    cases = jobs(library, 300, hidden=0.3, seed=8)
    split = [
        Alike(one.tree, one.engine, one.builds, one.answers, one.faults, 1) for one in cases for _ in range(one.many)
    ]
    whole, parts = learn(library, cases), learn(library, reversed(split))
    for name, row in whole.rows.items():
        assert parts.rows[name].learned == pytest.approx(row.learned, abs=1e-7)
    assert parts.weights["noisy-pump"].learned == pytest.approx(whole.weights["noisy-pump"].learned, abs=1e-7)


def test_counts_of_known_faults_need_no_patterns(library: Library) -> None:
    """How often each answer was shown with each fault is all that a table needs."""
    cases = jobs(library, 2000, hidden=0.0, seed=3)
    counted: Counter[tuple[str, str, str]] = Counter()
    for one in cases:
        for check, answer in one.answers:
            counted[one.faults[0], check, answer] += one.many
    bare = [Alike(one.tree, one.engine, one.builds, (), one.faults, one.many) for one in cases]
    shown = [Shown("noisy-pump", *key, many) for key, many in counted.items()]
    whole, parts = learn(library, cases), learn(library, bare, shown)
    assert whole.rows.keys() == parts.rows.keys()
    for name, row in whole.rows.items():
        assert parts.rows[name].learned == pytest.approx(row.learned)
    assert parts.weights["noisy-pump"].learned == pytest.approx(whole.weights["noisy-pump"].learned)
