"""What is worked out beside the trainee changes no figure of the review."""

from threading import Thread

import pytest

from diagtree.graph.serving import builds
from diagtree.practice import ahead
from diagtree.practice.ahead import Ahead
from diagtree.practice.car import Bay
from diagtree.practice.drill import Drill, ask, begin, cautions, name_repair
from diagtree.practice.review import review
from diagtree.practice.trainee import Adviser
from diagtree.report.drill import as_data, facts_text
from diagtree.source.reader import read
from tests.practice.test_drill import LIBRARY, car


@pytest.fixture(scope="module", name="begun")
def _begun(tmp_path_factory: pytest.TempPathFactory) -> Drill:
    path = tmp_path_factory.mktemp("ahead") / "library.yaml"
    path.write_text(LIBRARY)
    library = read(str(path)).library
    engine = library.engines["small"]
    return begin(car(Bay(library, library.trees["leak"], engine, builds(engine)), "pump"))


@pytest.fixture(name="ended")
def _ended(begun: Drill) -> Drill:
    drill = ask(begun, "smell")
    assert isinstance(drill, Drill)
    named = name_repair(drill, ("seal",))
    assert isinstance(named, Drill)
    return named


@pytest.mark.parametrize("stopped", [False, True])
def test_the_review_is_the_same_with_and_without_it(
    ended: Drill, monkeypatch: pytest.MonkeyPatch, *, stopped: bool
) -> None:
    threads: list[Thread] = []

    class Kept(Thread):
        def start(self) -> None:
            threads.append(self)
            super().start()

    monkeypatch.setattr(ahead, "Thread", Kept)
    adviser = Adviser()
    beside = Ahead(adviser, begin(ended.car))
    beside.look(ended)
    if stopped:
        beside.stop()
    assert as_data(review(ended, adviser), "usual") == as_data(review(ended, Adviser()), "usual")
    beside.stop()
    threads[0].join(30)
    assert not threads[0].is_alive()


def test_what_was_paid_is_told_without_a_review(ended: Drill) -> None:
    told = facts_text(ended, 60)
    assert told.startswith("It was: ")
    assert "Seal leaks" in told
    assert "Paid so far: " in told


def test_cautions_come_with_the_check_and_with_what_it_opens(begun: Drill) -> None:
    assert [one.say for one in cautions(begun, "look")] == ["Hot oil."]
    assert [one.say for one in cautions(begun, "inside")] == ["Hot oil."]
    assert cautions(begun, "smell") == ()
