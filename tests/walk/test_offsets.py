"""A walk answered with camshaft offsets."""

import json
from collections.abc import Mapping
from pathlib import Path

import pytest

from diagtree.cli import main
from diagtree.graph.serving import suited
from diagtree.measure.patterns import pattern
from diagtree.reason.belief import Belief
from diagtree.report import walk as render
from diagtree.report.question import asked, told
from diagtree.term.pressing import opened, paste, press
from diagtree.walk.answers import drive_of
from diagtree.walk.result import believing, result
from diagtree.walk.session import Session
from tests.walk.samples import library, refusal, reply, start

CHAIN = """
checks:
  cam-offsets:
    ask: Offset of each camshaft?
    hours: 0.3
    offsets: {{uncertainty: 2.0}}
    {more}
    answers:
      none: All near zero
      stretched: All a little late
      all-together: All off alike
      one-bank: One bank off
      one-cam: One camshaft off
      mixed: No clear pattern
    given:
      default: {{none: 90, stretched: 2, all-together: 1, one-bank: 1, one-cam: 2, mixed: 4}}
      chain-long: {{none: 10, stretched: 80, all-together: 3, one-bank: 1, one-cam: 1, mixed: 5}}
      jumped: {{none: 2, stretched: 2, all-together: 40, one-bank: 40, one-cam: 6, mixed: 10}}
---
faults:
  chain-long: {{title: Chain long, why: Wear., repair: [], verify: [Listen.]}}
  jumped: {{title: Chain jumped, why: Slack., repair: [], verify: [Listen.]}}
  sensor: {{title: Sensor, why: Age., repair: [], verify: [Read the codes.]}}
---
engine: bench
title: Bench
timing:
  pitch: 8
  crank-teeth: 22
  cam-teeth: 44
  cams: {{intake-1: {{bank: 1, span: 310}}, {second}: {{bank: {bank}, span: 310}}}}
---
tree: codes
title: Codes
weights: {{chain-long: 50, jumped: 20, sensor: 30}}
start: offsets
nodes:
  offsets:
    check: cam-offsets
    then: {{none: sensor, stretched: long, all-together: jumped, one-bank: jumped, one-cam: sensor, mixed: sensor}}
  sensor: {{outcome: sensor}}
  long: {{outcome: chain-long}}
  jumped: {{outcome: jumped}}
"""
ONE_BANK = CHAIN.format(second="exhaust-1", bank=1, more="")
TWO_BANKS = CHAIN.format(second="intake-2", bank=2, more="")
INDEPENDENT = CHAIN.format(second="exhaust-1", bank=1, more="repeats: independent")
WEIGHTS = {"chain-long": 50, "jumped": 20, "sensor": 30}
ROWS = {
    "chain-long": (10, 80, 3, 1, 1, 5),
    "jumped": (2, 2, 40, 40, 6, 10),
    "sensor": (90, 2, 1, 1, 2, 4),
}


def virtual(shares: tuple[float, ...], rows: Mapping[str, tuple[int, ...]]) -> dict[str, float]:
    """Belief after virtual evidence, by hand: slip 0.01 spread over the answers."""
    many = len(shares)

    def seen(row: tuple[int, ...]) -> float:
        return sum(p * (0.99 * cell / sum(row) + 0.01 / many) for p, cell in zip(shares, row, strict=True))

    mass = {fault: weight * seen(rows[fault]) for fault, weight in WEIGHTS.items()}
    return {fault: one / sum(mass.values()) for fault, one in mass.items()}


def held(session: Session) -> dict[str, float]:
    now = believing(session)
    assert isinstance(now, Belief)
    return dict(now.by_fault)


@pytest.mark.parametrize("typed", ["intake-1:-4,intake-2:-3", "intake-2=-3°; intake-1 = \N{MINUS SIGN}4 deg"])
def test_belief_is_that_of_virtual_evidence_with_the_shares_of_the_patterns(typed: str) -> None:
    session = reply(start(TWO_BANKS, "codes"), typed)
    timing = session.case.engine.timing
    assert timing is not None
    shares = tuple(pattern(timing, {"intake-1": -4, "intake-2": -3}, 2.0).shares.values())
    finding = session.known.findings["cam-offsets"]
    assert finding.shares == shares
    assert held(session) == pytest.approx(virtual(shares, ROWS))


def test_one_bank_has_no_answer_and_no_share_where_there_is_one_bank() -> None:
    """The rows are shared out over the five answers that are left."""
    before = start(ONE_BANK, "codes")
    shown = asked(before)
    assert shown is not None
    assert [choice.id for choice in shown.choices] == ["none", "stretched", "all-together", "one-cam", "mixed"]
    session = reply(before, "intake-1:-4,exhaust-1:-3")
    shares = session.known.findings["cam-offsets"].shares
    assert shares == pytest.approx((2.83734e-05, 0.829433, 0.135864, 0.00279852, 0.031876), rel=1e-5)
    fewer = {fault: tuple(cell for at, cell in enumerate(row) if at != 3) for fault, row in ROWS.items()}
    assert held(session) == pytest.approx(virtual(shares, fewer))
    assert refusal(before, "one-bank") == (
        "'one-bank' cannot be seen with this check on this engine. "
        "Give one of: none, stretched, all-together, one-cam, mixed."
    )


def test_a_library_that_suits_is_the_same_object() -> None:
    made = library(TWO_BANKS)
    assert suited(made, made.engines["bench"]) is made
    fewer = suited(library(ONE_BANK), library(ONE_BANK).engines["bench"])
    assert suited(fewer, fewer.engines["bench"]).checks == fewer.checks


def test_the_largest_share_steers_and_an_unclear_pattern_says_what_would_clear_it() -> None:
    before = start(ONE_BANK, "codes")
    session = reply(before, "intake-1:-4,exhaust-1:-3")
    assert session.outcome is not None
    assert session.outcome.faults == ("chain-long",)
    assert session.close_calls == ("cam-offsets",)
    assert told(before, session) == [
        "intake-1 -4.0, exhaust-1 -3.0 crank degrees: All a little late.",
        (
            "The pattern is not clear: 'stretched' holds 83 % of the weight, 'all-together' 14 %. Without exhaust-1 "
            "the others make the clearest pattern. Measure exhaust-1 again first: type 'again exhaust-1:' with the "
            "new offset behind it; the others stay."
        ),
    ]


def test_a_clear_pattern_is_no_close_call() -> None:
    session = reply(start(ONE_BANK, "codes"), "intake-1:-16.4,exhaust-1:-16.4")
    assert session.close_calls == ()
    assert session.outcome is not None
    assert session.outcome.faults == ("jumped",)


def test_the_pattern_itself_is_an_answer() -> None:
    session = reply(start(ONE_BANK, "codes"), "stretched")
    assert session.known.findings["cam-offsets"].shares == (0, 1, 0, 0, 0)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("2", "'2' is no offset."),
        ("intake-1:-4", "No offset for exhaust-1."),
        ("intake-9:-4,exhaust-1:2", "'intake-9' is no camshaft of this engine: it has intake-1, exhaust-1."),
        ("intake-1:nan,exhaust-1:2", "'nan' does not start with a number."),
        ("intake-1:4 mm,exhaust-1:2", "'mm' is no angle."),
    ],
)
def test_what_cannot_be_weighed_is_refused_with_a_sentence(typed: str, said: str) -> None:
    sentence = refusal(start(ONE_BANK, "codes"), typed)
    assert said in sentence
    assert sentence.endswith("Or say the pattern: none, stretched, all-together, one-cam, mixed.")


def test_one_camshaft_is_measured_again_and_the_others_stay() -> None:
    session = reply(start(ONE_BANK, "codes"), "intake-1:-16.4,exhaust-1:-3", "again intake-1:-4")
    finding = session.known.findings["cam-offsets"]
    assert finding.offset == {"intake-1": -4.0, "exhaust-1": -3.0}
    assert refusal(session, "again nonsense").startswith("'nonsense' is no offset.")


def test_independent_sets_count_together() -> None:
    typed = "intake-1:-4,exhaust-1:-3"
    session = reply(start(INDEPENDENT, "codes"), typed, "again intake-1:-6,exhaust-1:-5")
    finding = session.known.findings["cam-offsets"]
    assert finding.offset == {"intake-1": -5.0, "exhaust-1": -4.0}
    timing = session.case.engine.timing
    assert timing is not None
    listed = [answer.id for answer in session.case.library.checks["cam-offsets"].answers]
    expected = pattern(timing, finding.offset, 2.0 / 2**0.5, listed)
    assert finding.shares == pytest.approx(tuple(expected.shares.values()))
    drive = drive_of(session.case.library.checks["cam-offsets"], session.case.engine, finding)
    assert drive is not None
    assert drive.uncertainty == pytest.approx(2.0 / 2**0.5)
    assert "No offset for exhaust-1." in refusal(session, "again intake-1:-4")


def test_the_result_draws_the_offsets_and_names_them_in_json() -> None:
    found = result(reply(start(ONE_BANK, "codes"), "intake-1:-4,exhaust-1:-3"))
    text = render.as_text(found)
    assert "  intake-1   :" in text
    assert "* offset, = uncertainty" in text
    assert max(map(len, text.splitlines())) <= 80
    data = render.as_data(found)
    assert data["answers"] == {"cam-offsets": "stretched"}
    assert data["offsets"] == {"cam-offsets": {"intake-1": -4.0, "exhaust-1": -3.0}}
    assert sum(data["patterns"]["cam-offsets"].values()) == pytest.approx(1)
    assert data["close_call"] == ["cam-offsets"]


def test_the_full_screen_has_a_field_for_offsets() -> None:
    view = opened(start(ONE_BANK, "codes"))
    assert view.kind == "type"
    shown = asked(view.session)
    assert shown is not None
    assert shown.hint == (
        "Type one offset for each camshaft, late below 0, such as intake-1:-4,exhaust-1:-4, or the pattern itself."
    )
    after = press(paste(view, "intake-1:-16.4,exhaust-1:-16.3"), "enter")
    assert after.kind == "end"
    assert after.session.known.findings["cam-offsets"].answer == "all-together"


@pytest.fixture
def folder(tmp_path: Path) -> str:
    (tmp_path / "library.yaml").write_text(ONE_BANK, encoding="utf-8")
    (tmp_path / "known").mkdir()
    (tmp_path / "known" / "answers.txt").write_text("cam-offsets: {intake-1: -4, exhaust-1: -3}\n", encoding="utf-8")
    return str(tmp_path)


def test_an_option_and_a_file_give_the_same_belief(folder: str, capsys: pytest.CaptureFixture[str]) -> None:
    options = ["codes", "--library", f"{folder}/library.yaml", "--json"]
    told_by = (
        ["--answer", "cam-offsets=intake-1:-4,exhaust-1:-3"],
        ["--answers", f"{folder}/known/answers.txt"],
    )
    beliefs = []
    for way in told_by:
        assert main(["next", *options, *way]) == 0
        beliefs.append(json.loads(capsys.readouterr().out)["belief"])
    assert beliefs[0] == beliefs[1]
    assert {one["fault"]: one["probability"] for one in beliefs[0]} == pytest.approx(
        held(reply(start(ONE_BANK, "codes"), "intake-1:-4,exhaust-1:-3"))
    )
