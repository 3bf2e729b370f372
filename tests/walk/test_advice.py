"""The advice beside a question, and `next` from where a walk stands."""

from pathlib import Path

import pytest

from diagtree.graph.serving import builds, served
from diagtree.reason.walking import walk_cost
from diagtree.report.advice import hint_lines
from diagtree.source.reader import read
from diagtree.walk.advice import hint, look_ahead
from diagtree.walk.moves import answer
from diagtree.walk.replies import Case
from diagtree.walk.session import Session, begin

FOREIGN = Path(__file__).parents[1] / "foreign"
DEMO = read(str(Path(__file__).parents[2] / "trees")).library


def demo(tree: str, many: int) -> Session:
    """A walk of a demo tree on the last engine that it serves, with so many of its builds possible."""
    engine = served(DEMO, DEMO.trees[tree])[-1]
    session = begin(Case(DEMO, DEMO.trees[tree], engine, builds(engine)[:many], {}))
    assert isinstance(session, Session)
    return session


def begun(name: str, tree: str) -> Session:
    library = read(str(FOREIGN / name)).library
    engine = next(iter(library.engines.values()))
    session = begin(Case(library, library.trees[tree], engine, builds(engine), {}))
    assert isinstance(session, Session)
    return session


@pytest.mark.parametrize(("name", "tree"), [("pump", "low-flow"), ("boiler", "lockout"), ("boiler", "no-hot-water")])
def test_the_hint_is_the_advice_of_next_at_every_step(name: str, tree: str) -> None:
    session = begun(name, tree)
    while session.check is not None:
        found, told = look_ahead(session, 60.0).advice, hint(session)
        assert found is not None
        assert told is not None
        if told.by == "best order":
            assert told.check == found.check
        following = answer(session, session.check.answers[-1].id)
        if not isinstance(following, Session) or following.tree != session.tree:
            break
        session = following


def test_where_tree_and_advice_part_both_are_named() -> None:
    session = begun("boiler", "lockout")
    told = hint(session)
    assert told is not None
    (line,) = hint_lines(session)
    if told.parts and told.check is not None:
        assert told.check in line
        assert str(told.asked) in line
    else:
        assert "this check" in line or "stop looking" in line


def test_a_library_without_work_has_no_hint() -> None:
    library = read(str(FOREIGN / "small.yaml")).library
    from diagtree.model.engine import ONLY_BUILD, ONLY_ENGINE

    session = begin(Case(library, library.trees["dark-lamp"], ONLY_ENGINE, (ONLY_BUILD,), {}))
    assert isinstance(session, Session)
    assert hint(session) is None
    assert hint_lines(session) == []


def test_an_outcome_has_no_hint() -> None:
    session = begun("pump", "low-flow")
    while session.check is not None:
        following = answer(session, session.check.answers[0].id)
        assert isinstance(following, Session)
        session = following
    assert hint(session) is None


@pytest.mark.parametrize(("tree", "many"), [("broken-guide", 1), ("broken-guide", 2), ("oil-sludge", 1)])
def test_a_first_look_is_the_same_every_time(tree: str, many: int) -> None:
    first, again = (look_ahead(demo(tree, many)).advice for _ in range(2))
    assert first is not None
    assert not first.exact
    assert first == again


@pytest.mark.parametrize(("tree", "many"), [("broken-guide", 1), ("broken-guide", 3), ("oil-sludge", 1)])
def test_a_first_look_finds_no_dearer_order_than_the_tree_is_written_in(tree: str, many: int) -> None:
    found = look_ahead(demo(tree, many))
    assert found.advice is not None
    written = sum(car.share * walk_cost(car.here) / car.here.mass for car in found.cars)
    assert found.advice.bound <= found.advice.cost <= written * (1 + 1e-9)


def test_the_tree_s_own_order_is_begun_where_the_walk_stands() -> None:
    session = demo("broken-guide", 1)
    asked = session.check
    assert asked is not None
    following = answer(session, asked.answers[0].id)
    assert isinstance(following, Session)
    found = look_ahead(following).advice
    assert found is not None
    assert found.check not in following.known.findings
    assert found.cost <= stop_loss_of(following) * (1 + 1e-9)


def stop_loss_of(session: Session) -> float:
    """What stopping to repair costs where a walk stands."""
    found = look_ahead(session).stops
    assert found is not None
    return found.loss


@pytest.mark.usefixtures("unlisted")
def test_a_walk_with_nothing_more_to_ask_has_advice_and_a_bound() -> None:
    session = begun("pump", "low-flow")
    while session.check is not None:
        following = answer(session, session.check.answers[0].id)
        assert isinstance(following, Session)
        session = following
    found = look_ahead(session)
    assert found.advice is not None
    assert found.stops is not None
    assert found.advice.bound <= found.advice.cost <= found.stops.loss * (1 + 1e-9)


@pytest.fixture
def unlisted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Searches, however few the sets of answers are."""
    from diagtree.reason import policy

    monkeypatch.setattr(policy, "_listed", lambda *_: False)
