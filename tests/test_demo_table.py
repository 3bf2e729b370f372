"""The table of the demo trees, against paths followed one by one by the plain reading in `tests.oracle`."""

from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from diagtree.reason.case import Case
from diagtree.reason.standing import start
from diagtree.reason.walking import walk_cost
from diagtree.source.reader import read
from tests.bench.demo import COVER, cases, means
from tests.oracle import deciding
from tests.oracle.deciding import Answers, Bench, Steps
from tests.oracle.reading import builds, read_documents

TREES = Path(__file__).resolve().parents[1] / "trees"
TREE, ENGINE, BUILD = "oil-sludge", "brennick-v8", "van-late"


def followed(  # noqa: PLR0917  # what a path carries
    bench: Bench, node: str, chance: float, answers: Answers, done: Steps, order: tuple[str, ...]
) -> Iterator[tuple[float, tuple[str, ...], Steps, float]]:
    """Each path: its chance, the checks asked in order, what is off at its end, and how often the car comes back."""
    body = deciding.nodes(bench)[node]
    if "outcome" in body:
        faults = body["outcome"] if isinstance(body["outcome"], list) else [body["outcome"]]
        kept = [fault for fault in faults if fault in deciding.repairable(bench)]
        off = done | deciding.repair(bench, kept)
        yield chance, order, off, chance * deciding.residual(bench, answers, done, kept)
        return
    check = body["check"]
    known = deciding.steering(bench, answers)
    if check in known:
        yield from followed(bench, body["then"][known[check]], chance, answers, done, order)
    elif not deciding.applies(bench, check) or deciding.forbidden(bench, answers, check):
        yield from followed(bench, body["else"], chance, answers, done, order)
    else:
        opened = done | deciding.access(bench, check)
        for one, share in deciding.answer_chances(bench, answers, check).items():
            after = answers | {(check, one)}
            yield from followed(bench, body["then"][one], chance * share, after, opened, (*order, check))


@pytest.fixture(scope="module")
def ours() -> Case:
    library = read(str(TREES)).library
    return next(of for of in cases(library, [TREE]) if (of.engine.id, of.build.id) == (ENGINE, BUILD))


@pytest.fixture(scope="module")
def bench() -> Bench:
    documents = [
        document
        for file in sorted(TREES.glob("*.yaml"))
        for document in yaml.load_all(file.read_text("utf-8"), Loader=yaml.BaseLoader)
    ]
    # The titles of trouble codes decide nothing, and the plain reading has no place for them.
    library = read_documents(document for document in documents if "codes" not in document)
    engine = library.engines[ENGINE]
    return Bench(library, engine, TREE, builds(engine)[BUILD])


def test_means_agree_with_paths_followed_one_by_one(ours: Case, bench: Bench) -> None:
    tree = bench.library.trees[TREE]
    every = list(followed(bench, tree["start"], 1.0, frozenset(), frozenset(), ()))
    assert sum(chance for chance, *_ in every) == pytest.approx(1.0)

    def before(order: tuple[str, ...]) -> int:
        return next((at for at, check in enumerate(order) if deciding.access(bench, check)), len(order))

    found = means(ours)
    assert found.checks == pytest.approx(sum(chance * len(order) for chance, order, _, _ in every))
    assert found.before == pytest.approx(sum(chance * before(order) for chance, order, _, _ in every))
    assert found.cover == pytest.approx(sum(chance for chance, _, off, _ in every if COVER in off))
    assert found.residual == pytest.approx(sum(left for *_, left in every))


def test_walk_cost_agrees_with_the_plain_reading(ours: Case, bench: Bench) -> None:
    assert walk_cost(start(ours)) == pytest.approx(deciding.walk_cost(bench))
