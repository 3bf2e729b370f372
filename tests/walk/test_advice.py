"""The advice beside a question, and `next` from where a walk stands."""

from pathlib import Path

import pytest

from diagtree.graph.serving import builds
from diagtree.report.advice import hint_lines
from diagtree.source.reader import read
from diagtree.walk.advice import hint, look_ahead
from diagtree.walk.moves import answer
from diagtree.walk.replies import Case
from diagtree.walk.session import Session, begin

FOREIGN = Path(__file__).parents[1] / "foreign"


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
