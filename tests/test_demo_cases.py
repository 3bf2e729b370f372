"""Cars with a known fault, walked through the demo trees answer by answer: each ends where the trade would end.

The cases stand in `tests/cases/*.yaml`, each file a list. Keys of a case:

case      a name of its own, lower-case words joined by hyphens
story     what the customer told and what was behind it, in a sentence or two
tree      where the walk starts
engine    the engine's id
build     the build's id
fault     what the car truly has: a fault's id, or a list where two stand in one story
answers   check -> what is typed when the walk asks it (an answer's id, a reading, codes as P0016+P0018 or none, offsets
          as intake-1:-4,...); '?' where it cannot be had. In the order asked, all that are asked and no other. `off`,
          `on`, `yes` and `no` stand in quotes here: this is plain YAML
outcome   the node that the walk ends at
ends-in   optional: the tree of that node, where the walk goes on in another
awkward   optional: why the case is no plain one
misread   optional: checks of `answers` that were read wrongly, so that the fault need not make them possible
misses    optional: why the outcome rightly does not hold (all of) the fault; without it, it must
doubtful  optional: true where the walk has to say at its end that the answers do not fit one cause

The true fault must make every other answer possible: its row gives it 2 in 100 or more, so more than a slip does.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagtree.model.library import Library
from diagtree.source.reader import read
from diagtree.walk import moves
from diagtree.walk.answers import Refused, read_finding
from diagtree.walk.replies import Case, Told
from diagtree.walk.result import result
from diagtree.walk.session import Session, begin

HERE = Path(__file__).resolve().parent
CANNOT_BE_HAD = "?"
LEAST = 0.02  # of a row: what an answer needs to count as possible
REQUIRED = {"case", "story", "tree", "engine", "build", "fault", "answers", "outcome"}
OPTIONAL = {"ends-in", "awkward", "misread", "misses", "doubtful"}


@dataclass(frozen=True, slots=True)
class Car:
    """A case as written."""

    name: str
    tree: str
    engine: str
    build: str
    faults: tuple[str, ...]
    answers: dict[str, str]
    outcome: str
    ends_in: str
    awkward: str
    misread: frozenset[str]
    misses: str
    doubtful: bool


def cars() -> Iterator[Car]:
    """Every case of every file."""
    for path in sorted((HERE / "cases").glob("*.yaml")):
        for entry in yaml.safe_load(path.read_text(encoding="utf-8")):
            yield car(entry, path.name)


def car(entry: dict[str, Any], where: str) -> Car:
    """A case from its mapping; what is missing or unknown is named."""
    name = f"{where}: {entry.get('case')}"
    assert entry.keys() >= REQUIRED, f"{name} lacks {sorted(REQUIRED - entry.keys())}"
    assert entry.keys() <= REQUIRED | OPTIONAL, f"{name} has unknown {sorted(entry.keys() - REQUIRED - OPTIONAL)}"
    fault = entry["fault"]
    return Car(
        name=entry["case"],
        tree=entry["tree"],
        engine=entry["engine"],
        build=entry["build"],
        faults=tuple([fault] if isinstance(fault, str) else fault),
        answers={check: str(text) for check, text in entry["answers"].items()},
        outcome=entry["outcome"],
        ends_in=entry.get("ends-in", entry["tree"]),
        awkward=entry.get("awkward", ""),
        misread=frozenset(entry.get("misread", ())),
        misses=entry.get("misses", ""),
        doubtful=entry.get("doubtful", False),
    )


CARS = tuple(cars())


@lru_cache(maxsize=1)
def demo() -> Library:
    """The shipped library."""
    found = read(str(HERE.parent / "trees")).library
    assert found is not None
    return found


def begun(case: Car) -> Session:
    """The walk before its first answer, the build known."""
    library = demo()
    engine = library.engines[case.engine]
    build = engine.builds[case.build]
    session = begin(Case(library, library.trees[case.tree], engine, (build,), build.features))
    assert isinstance(session, Session)
    return session


def walked(case: Car) -> Session:
    """The walk to its end. Whatever it asks must have been answered in the case."""
    session = begun(case)
    while session.check:
        asked = session.check.id
        assert asked in case.answers, f"'{asked}' is asked, and the case does not answer it"
        text = case.answers[asked]
        after = moves.cannot_tell(session) if text == CANNOT_BE_HAD else moves.answer(session, text)
        assert not isinstance(after, Refused), f"{asked}: {after.sentence if isinstance(after, Refused) else ''}"
        session = after
    return session


def told(session: Session) -> list[str]:
    """The checks that were replied to, in order."""
    replies = session.replies
    return [one.finding.check if isinstance(one, Told) else getattr(one, "check", "") for one in replies]


@pytest.mark.parametrize("case", CARS, ids=[case.name for case in CARS])
def test_the_walk_ends_where_the_trade_would(case: Car) -> None:
    """It asks what the case answers, in that order, and nothing else; its outcome holds the true fault."""
    session = walked(case)
    assert told(session) == list(case.answers)
    outcome = session.outcome
    assert outcome, "the walk has no way on"
    assert (session.tree.id, outcome.id) == (case.ends_in, case.outcome)
    held = set(case.faults) <= set(outcome.faults)
    assert held != bool(case.misses), f"the outcome holds {outcome.faults}"
    if case.doubtful:
        assert result(session).doubtful


@pytest.mark.parametrize("case", CARS, ids=[case.name for case in CARS])
def test_the_true_fault_makes_each_answer_possible(case: Car) -> None:
    """What a car cannot show was misread, and the case has to say so."""
    library = begun(case).case.library  # as it holds for this engine
    engine = library.engines[case.engine]
    faults = [library.faults[name] for name in case.faults]
    assert all(fault.when.admits(engine.builds[case.build].features) for fault in faults)
    assert case.misread <= case.answers.keys()
    for name, text in case.answers.items():
        check = library.checks[name]
        if text != CANNOT_BE_HAD and name not in case.misread and check.given:
            finding = read_finding(check, engine, text)
            assert not isinstance(finding, Refused), f"{name}: {text}"
            place = [answer.id for answer in check.answers].index(finding.answer)
            rows = [
                next(row for kind in (fault.id, fault.kind_of, "default") if (row := check.given.get(kind)))
                for fault in faults
            ]
            assert max(row[place] / sum(row) for row in rows) >= LEAST, f"{name}: {finding.answer}"


def test_a_misread_answer_is_one_that_the_fault_hardly_shows() -> None:
    """Else it was read rightly, and the case would prove nothing about a slip."""
    for case in CARS:
        if case.misread:
            library = begun(case).case.library
            engine = library.engines[case.engine]
            for name in case.misread:
                check = library.checks[name]
                finding = read_finding(check, engine, case.answers[name])
                assert not isinstance(finding, Refused)
                place = [answer.id for answer in check.answers].index(finding.answer)
                row = next(
                    row
                    for kind in (case.faults[0], library.faults[case.faults[0]].kind_of, "default")
                    if (row := check.given.get(kind))
                )
                assert row[place] / sum(row) < 1 / 4, f"{case.name}: {name}"


def test_no_two_cases_are_alike() -> None:
    names = [case.name for case in CARS]
    assert len(set(names)) == len(names)
    written = [(case.tree, case.engine, case.build, tuple(case.answers.items())) for case in CARS]
    assert len(set(written)) == len(written)


def test_every_tree_engine_and_build_has_its_cases() -> None:
    library = demo()
    assert {case.tree for case in CARS} == set(library.trees)
    assert all(sum(case.tree == tree for case in CARS) >= 8 for tree in library.trees)
    made = {(engine.id, build) for engine in library.engines.values() for build in engine.builds}
    assert {(case.engine, case.build) for case in CARS} == made


def test_there_are_enough_cases_and_enough_awkward_ones() -> None:
    assert len(CARS) >= 40
    assert sum(bool(case.awkward) for case in CARS) >= 8
