"""A drill's moves, and what they are worth at the end."""

import pytest

from diagtree.graph.serving import builds
from diagtree.practice.car import Bay, Car, draw
from diagtree.practice.drill import Drill, Refused, ask, begin, looked_at_odds, mended, name_repair
from diagtree.practice.review import Review, review
from diagtree.practice.trainee import Adviser, by_tree, run
from diagtree.report import drill as told
from diagtree.source.reader import read

LIBRARY = """\
shop: trial
name: Trial (invented)
currency: EUR
tax: 0
labour-rate: 100
goodwill: 400
---
cautions: {hot: {say: Hot oil., level: warn}}
---
checks:
  look:
    ask: Is it wet?
    hours: 0.1
    answers: {wet: Wet, dry: Dry}
    given: {seal: 90, pump: 5, default: 50}
    cautions: [hot]
  smell: {ask: Does it smell?, hours: 0.2, answers: {yes: Yes, no: No}, given: {seal: 50, pump: 50, default: 50}}
  inside:
    ask: Worn inside?
    hours: 0.1
    behind: [cover]
    answers: {yes: Yes, no: No}
    given: {seal: 5, pump: 95, default: 50}
  crank: {ask: Does it turn?, hours: 0.1, answers: {yes: Yes, no: No}, given: {default: 50}, never-after: {look: [wet]}}
---
faults:
  seal: {title: Seal leaks, why: Age., repair: [renew-seal], verify: [Look.]}
  pump: {title: Pump worn, why: Wear., repair: [renew-pump], verify: [Look.]}
---
engine: small
title: Small
work:
  cover: {title: Take the cover off, hours: 1, cautions: [hot]}
  renew-seal: {title: Renew the seal, hours: 0.5}
  renew-pump: {title: Renew the pump, hours: 1, after: [cover]}
---
tree: leak
title: Leak
weights: {seal: 60, pump: 40}
other: 0
start: look
nodes:
  look: {check: look, then: {wet: seal, dry: smell}}
  smell: {check: smell, then: {yes: crank, no: crank}}
  crank: {check: crank, then: {yes: inside, no: inside}, else: inside}
  inside: {check: inside, then: {yes: pump, no: seal}}
  seal: {outcome: seal}
  pump: {outcome: pump}
"""


@pytest.fixture(scope="module")
def bay(tmp_path_factory: pytest.TempPathFactory) -> Bay:
    path = tmp_path_factory.mktemp("drill") / "library.yaml"
    path.write_text(LIBRARY)
    found = read(str(path))
    assert not found.problems
    engine = found.library.engines["small"]
    return Bay(found.library, found.library.trees["leak"], engine, builds(engine))


def car(bay: Bay, fault: str, **answers: str) -> Car:
    """A car of this fault that shows these answers, `yes` and `dry` otherwise."""
    made = draw(bay, 1, fault=fault)
    assert isinstance(made, Car)
    known = {"look": "dry", "smell": "yes", "inside": "yes", "crank": "yes", **answers}
    places = {name: check.answers.index(known[name]) for name, check in made.case.checks.items()}
    return Car(made.case, made.cause, places, 1, 1)


def done(drill: Drill | Refused) -> Drill:
    assert isinstance(drill, Drill)
    return drill


def judged(drill: Drill | Refused) -> Review:
    return review(done(drill), Adviser())


def test_access_is_paid_once_and_hours_count_it(bay: Bay) -> None:
    drill = done(ask(begin(car(bay, "pump")), "inside"))
    assert [drill.paid, drill.hours] == pytest.approx([110, 1.1])
    drill = done(name_repair(drill, ("pump",)))
    judgement = review(drill, Adviser())
    assert judgement.repair == pytest.approx(100)
    assert judgement.total == pytest.approx(210)
    assert judgement.mended


def test_the_wrong_repair_comes_back_with_goodwill_and_its_own_work(bay: Bay) -> None:
    found = judged(name_repair(begin(car(bay, "pump")), ("seal",)))
    assert not found.mended
    assert found.come_back == pytest.approx(400 + 200)
    assert found.total == pytest.approx(50 + 600)


def test_a_check_that_says_nothing_is_named(bay: Bay) -> None:
    drill = done(ask(begin(car(bay, "seal")), "smell"))
    found = judged(name_repair(drill, ("seal",)))
    assert [one.told_nothing for one in found.choices] == [True, False]
    # It can't be worth anything: its whole price is regretted.
    assert found.choices[0].regret == pytest.approx(20)
    assert "It told nothing" in told.as_text(found)


def test_what_came_off_for_nothing_is_named(bay: Bay) -> None:
    drill = done(ask(begin(car(bay, "seal", inside="no")), "inside"))
    found = judged(name_repair(drill, ("seal",)))
    assert found.for_nothing == ("cover",)
    assert "take the cover off" in told.as_text(found)
    pump = done(ask(begin(car(bay, "pump")), "inside"))
    assert judged(name_repair(pump, ("pump",))).for_nothing == ()


def test_bad_luck_is_not_punished(bay: Bay) -> None:
    """A misleading answer that the best order would have followed as well costs money, not score."""
    adviser = Adviser()
    drill = run(car(bay, "pump", look="wet"), adviser)
    found = review(drill, adviser)
    assert not found.mended
    assert found.regret == pytest.approx(0)
    assert found.total > found.best_cost


def test_a_check_that_an_answer_forbids_fails_the_run(bay: Bay) -> None:
    drill = done(ask(begin(car(bay, "seal", look="wet")), "look"))
    found = judged(ask(drill, "crank"))
    assert found.failed
    assert not found.mended
    assert "never done" in told.as_text(found)


def test_moves_that_make_no_sense_are_refused(bay: Bay) -> None:
    drill = done(ask(begin(car(bay, "seal")), "look"))
    for after in (
        ask(drill, "look"),
        ask(drill, "no-such-check"),
        name_repair(drill, ()),
        name_repair(drill, ("other",)),
        name_repair(drill, ("no-such-fault",)),
    ):
        assert isinstance(after, Refused)
    ended = done(name_repair(drill, ("seal",)))
    assert isinstance(ask(ended, "smell"), Refused)
    assert isinstance(name_repair(ended, ("pump",)), Refused)


def test_the_tree_s_course_follows_the_same_answers(bay: Bay) -> None:
    drill = run(car(bay, "pump"), by_tree)
    assert [one.check.id for one in drill.taken] == ["look", "smell", "crank", "inside"]
    assert drill.ended is not None
    assert drill.ended.named == ("pump",)
    assert mended(drill)


def test_the_cautions_of_a_check_and_of_its_access_are_told(bay: Bay) -> None:
    drill = looked_at_odds(begin(car(bay, "pump")))
    assert told.cautions(drill, "inside") == ["Warning: Hot oil."]
    assert told.cautions(drill, "smell") == []
    found = judged(name_repair(drill, ("seal", "pump")))
    assert "looked at the odds 1 time" in told.as_text(found)
    assert found.total == pytest.approx(250)


def test_json_sums_to_what_it_says(bay: Bay) -> None:
    drill = done(ask(done(ask(begin(car(bay, "pump")), "look")), "inside"))
    data = told.as_data(judged(name_repair(drill, ("pump",))), "usual")
    assert data["paid"] == pytest.approx(sum(one["price"] for one in data["choices"] if one["check"]))
    assert data["regret"] == pytest.approx(sum(one["regret"] for one in data["choices"]))
    assert data["total"] == pytest.approx(data["paid"] + data["repair_cost"] + data["come_back"])
    assert all(0 <= one["probability"] <= 1 for one in data["choices"])
