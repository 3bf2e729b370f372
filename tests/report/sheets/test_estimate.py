"""The printable estimate: the screen's own words, the dots, a line to sign for each stage."""

import tempfile
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from diagtree.estimate.estimate import DOTS, Estimate, Visit, estimate
from diagtree.graph.serving import builds
from diagtree.model.fault import Caution
from diagtree.model.library import NOTICE, Library
from diagtree.report import estimate_words as words
from diagtree.report.estimate import enough
from diagtree.report.estimate_text import as_text, cautions
from diagtree.report.sheets import pdf
from diagtree.report.sheets.estimate import IN_IT, NOTHING_FOUND, estimate_sheet
from diagtree.report.sheets.heading import Heading
from diagtree.report.sheets.marks import Disc, Frame, Words
from diagtree.report.sheets.paper import PAPERS
from diagtree.report.sheets.sheet import Sheet, outside
from diagtree.report.walk import TWO_CAUSES
from diagtree.source.reader import read
from diagtree.walk.answers import Refused, read_finding
from tests.report.sheets.opened import bare, demo, said, texts

SMALL = """
shop: yard
name: Yard (invented)
currency: EUR
labour-rate: 80
tax: 0
goodwill: 100
---
checks:
  look:
    ask: Is it wet?
    hours: 0.1
    slip: 0
    answers: {wet: Wet, dry: Dry, odd: Odd}
    given: {seal: {wet: 100, dry: 0, odd: 0}, hose: {wet: 0, dry: 100, odd: 0}, pump: {wet: 0, dry: 0, odd: 100}}
  soak:
    ask: Wet in the morning?
    hours: 0
    wait: 8
    slip: 0
    answers: {wet: Wet, dry: Dry}
    given: {default: {wet: 50, dry: 50}}
  dust:
    ask: What does the laboratory find?
    hours: 0
    wait: 72
    slip: 0
    answers: {wet: Wet, dry: Dry}
    given: {default: {wet: 50, dry: 50}}
  open:
    ask: How is the wheel?
    hours: 0
    behind: [cover]
    slip: 0
    answers: {good: Good, bad: Bad}
    given: {default: {good: 50, bad: 50}}
---
faults:
  seal: {title: "Seal, inner", why: Age., repair: [], verify: [Look.]}
  hose: {title: Hose, why: Age., repair: [], verify: [Look.]}
  pump: {title: Pump, why: Age., repair: [renew-pump], verify: [Look.]}
  gear: {title: Gear, why: Age., repair: [renew-pump], verify: [Look.], when: {drive: gear}}
---
engine: mill
title: Mill
features: {drive: {title: Drive, values: [belt, gear]}}
builds: {old: {share: 1, drive: belt}, new: {share: 0, drive: gear}}
work:
  cover: {title: Cover off and on, hours: 0.5}
  renew-pump: {title: Renew the pump, hours: 1, after: [cover]}
---
tree: leak
title: Leak
weights: {seal: 50, hose: 25, pump: 25, gear: 5}
other: 0
start: look
nodes:
  look: {check: look, then: {wet: soak, dry: hose, odd: open}}
  soak: {check: soak, then: {wet: dust, dry: seal}}
  dust: {check: dust, then: {wet: seal, dry: seal}}
  seal: {outcome: seal}
  hose: {outcome: [hose, seal, gear]}
  open: {check: open, then: {good: pump, bad: both}}
  pump: {outcome: pump}
  both: {outcome: [pump, gear]}
"""
PUMP = Path(__file__).resolve().parents[2] / "foreign" / "pump"
LONG = "Nockenwellenverstellermagnetventilanschlussstecker" * 8


@cache
def pump() -> Library:
    return read(str(PUMP)).library


@cache
def library_of(text: str) -> Library:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "library.yaml"
        file.write_text(text, encoding="utf-8")
        found = read(str(file))
    assert [problem for problem in found.problems if problem.severity == "error"] == []
    return found.library


def reckoned(tree: str, library: Library | None = None, **known: str) -> Estimate:
    """The estimate of a tree, with answers by check, hyphens as underscores."""
    held = library or pump()
    engine = next(iter(held.engines.values()))
    checks = [(held.checks[name.replace("_", "-")], answer) for name, answer in known.items()]
    findings = [read_finding(check, engine, answer) for check, answer in checks]
    good = tuple(finding for finding in findings if not isinstance(finding, Refused))
    assert len(good) == len(findings)
    found = estimate(Visit(held, held.trees[tree], engine, tuple(builds(engine)), good))
    assert isinstance(found, Estimate)
    return found


@cache
def demos() -> Estimate:
    return reckoned("rattle-on-cold-start", demo(), oil_level="ok")


def printed(found: Estimate, paper: str = "A4", amount: float | None = None, **known: str) -> Sheet:
    return estimate_sheet(found, Heading(tree=found.tree, printed="2026-11-25", **known), PAPERS[paper], amount)


@pytest.mark.parametrize("paper", PAPERS)
def test_all_that_the_screen_says_is_on_it(paper: str) -> None:
    found = demos()
    limit = enough(found)
    lines = [
        *words.likely(found),
        *words.ladder(found),
        words.terms(found),
        words.inside(found, limit),
        words.scale(found),
        *(cell for line in words.bill(found) for cell in line),
        words.extras(found),
        *words.outcomes(found),
        *words.still_open(found),
        *words.deposits(found),
        *words.remarks(found),
        *(one.say for one in cautions(found)),
        NOTICE,
    ]
    sheet = printed(found, paper)
    assert outside(sheet) == []
    for text in texts(sheet):
        assert [line for line in lines if bare(line) not in text] == []


def test_each_stage_has_its_amount_with_tax_and_frames_to_sign_in() -> None:
    found = demos()
    assert all(stage.reached > 0 for stage in found.stages)
    sheet = printed(found)
    for stage in found.stages:
        limit = words.limit(found, stage.stage)
        assert limit is not None
        amount = words.figure(found.library.rates, limit.amount)
        cells = [(page, one) for page in range(len(sheet.pages)) for one in _on(sheet, page) if one.text == amount]
        # The amount that is given, the signature, the day.
        assert 3 in [len(_framed(sheet, page, cell)) for page, cell in cells], amount
    assert enough(found) >= found.stages[-1].price.percentile(0.8)


def small() -> Estimate:
    """A quarter of the cars are opened up, at 80 an hour and no tax: 0.1 h of looking, then 0.5 h of opening up."""
    return reckoned("leak", library_of(SMALL))


def test_a_stage_says_what_is_enough_for_the_cars_that_get_there() -> None:
    """Looking costs 8, opening up 40 more: of the cars that are opened none costs less than 48."""
    found = small()
    assert found.stages[1].reached == pytest.approx(0.25)
    assert words.limit(found, "strip-down") == words.Limit(48.0, 1.0)
    assert words.limit(found, "repair") == words.Limit(128.0, 1.0)
    assert found.stages[1].price.percentile(0.75) == pytest.approx(8.0)  # most never get there
    said = " ".join(words.ladder(found))
    assert "Authorise 8.00 EUR now, for the checks that open nothing." in said
    assert "In more than 95 in 100 such cars these checks cost no more." in said
    assert "opening up costs up to 40.00 EUR more, 48.00 EUR in all" in said
    text, _ = texts(printed(found))
    assert bare("48.00 EUR") in text
    assert (
        bare("About 25 in 100 such cars come to this. That amount is enough in more than 95 in 100 of those.") in text
    )
    assert "Comesabout" not in text


@pytest.mark.parametrize("found", [small, demos, lambda: reckoned("low-flow")], ids=["small", "demo", "pump"])
def test_the_paragraph_and_the_table_say_the_same_amounts(found: Callable[[], Estimate]) -> None:
    one = found()
    shop = one.library.rates
    said = " ".join(words.ladder(one))
    now, *further = [limit for stage in one.stages if (limit := words.limit(one, stage.stage))]
    for limit in further:
        assert limit.amount >= now.amount
        assert words.figure(shop, limit.amount) in said
        assert bare(words.figure(shop, limit.amount)) in texts(printed(one))[0]


def _framed(sheet: Sheet, page: int, cell: Words) -> list[Frame]:
    """The frames in the same row to the right."""
    frames = [mark for mark in sheet.pages[page] if isinstance(mark, Frame) and mark.left > cell.left]
    return [frame for frame in frames if frame.top < cell.baseline < frame.top + frame.height]


def _on(sheet: Sheet, page: int) -> list[Words]:
    return [mark for mark in sheet.pages[page] if isinstance(mark, Words)]


def test_a_fault_that_no_possible_build_can_have_is_in_no_outcome() -> None:
    """'gear' needs a drive that the car has not; with it gone, two outcomes of the tree are one."""
    found = small()
    assert {frozenset(one.faults) for one in found.outcomes} == {
        frozenset({"seal"}),
        frozenset({"hose", "seal"}),
        frozenset({"pump"}),
    }
    assert sum(one.probability for one in found.outcomes) == pytest.approx(1)
    (pump,) = (one for one in found.outcomes if one.faults == ("pump",))
    assert pump.probability == pytest.approx(0.25)
    assert pump.hours == pytest.approx(1.6)
    assert "Gear" not in said(printed(found))


def test_causes_that_were_not_told_apart_are_not_listed_as_if_all_were_there() -> None:
    (line,) = (line for line in words.outcomes(small()) if "Hose" in line)
    assert line.startswith("about 25 in 100: One of: Hose; Seal, inner. About ")


def test_answers_that_fit_no_one_cause_are_said_so_on_screen_and_paper() -> None:
    """Both answers are seldom seen with any cause, and never likely together."""
    text = SMALL.replace(
        "slip: 0\n    answers: {wet: Wet, dry: Dry, odd", "slip: 0.02\n    answers: {wet: Wet, dry: Dry, odd"
    )
    text = text.replace(
        "given: {default: {wet: 50, dry: 50}}", "given: {default: {wet: 1, dry: 99}, hose: {wet: 99, dry: 1}}", 1
    )
    doubted = reckoned("leak", library_of(text), look="odd", soak="wet")
    assert doubted.belief.conflict > 1
    assert bare(TWO_CAUSES) in said(printed(doubted))
    assert bare(TWO_CAUSES) in bare(as_text(doubted))
    for clear in (small(), reckoned("leak", library_of(text), look="odd")):
        assert words.doubt(clear) == ""
        assert bare(TWO_CAUSES) not in said(printed(clear))


def test_how_long_the_car_stays_is_said_and_stands_in_the_data() -> None:
    """Half of the cars soak overnight; half of those send a sample away for three days as well."""
    found = small()
    waits = found.waiting
    assert waits is not None
    assert dict(waits.nights) == pytest.approx({0: 0.5, 1: 0.25, 4: 0.25})
    assert waits.often == pytest.approx(0.5)
    assert waits.hours == pytest.approx(0.5 * 8 + 0.25 * 72)
    assert waits.longest == 80.0
    line = words.stay(found)
    assert line.startswith(
        "The car stays at least one night in about 50 in 100 such cars, at least 4 nights in about 25 in 100"
    )
    assert all(bare(line) in text for text in texts(printed(found)))
    short = words.stay(reckoned("low-flow"))
    assert short == "In about 50 in 100 such cars a check has to wait, unpaid: up to 0.5 h in all."
    soaked = reckoned("leak", library_of(SMALL), look="wet", soak="dry")
    assert words.stay(soaked) == ""  # what was answered waits no more


def test_a_stage_that_never_comes_about_is_not_to_be_signed() -> None:
    found = demos()
    diagnosis, opening, repair = found.stages
    never = replace(found, stages=(diagnosis, replace(opening, reached=0.0), repair))
    assert bare(words.STAGE_WORDS["strip-down"]) in said(printed(found)).partition("Terms")[0]
    assert bare(words.STAGE_WORDS["strip-down"]) not in said(printed(never)).partition("Terms")[0]


@pytest.mark.parametrize("amount", [None, 0.0, 400.0, 2000.0, 1e6])
def test_twenty_dots_and_those_within_the_amount_are_filled(amount: float | None) -> None:
    found = demos()
    sheet = printed(found, amount=amount)
    dots = [mark for page in sheet.pages for mark in page if isinstance(mark, Disc)]
    assert len(dots) == DOTS
    assert [mark.across for mark in dots] == sorted(mark.across for mark in dots)
    within = found.dots_within(enough(found) if amount is None else amount)
    assert [mark.filled for mark in dots] == [True] * within + [False] * (DOTS - within)


def test_what_was_found_is_said_as_it_was_read() -> None:
    assert bare(NOTHING_FOUND) in said(printed(reckoned("low-flow")))
    found = reckoned("low-flow", strainer_drop="0.3 bar")
    (finding,) = found.findings
    check = found.library.checks[finding.check]
    answer = check.answer(finding.answer)
    assert answer is not None
    assert check.gauge is not None
    text = said(printed(found))
    assert bare(f"{check.ask} 0.3 {check.gauge.unit}: {answer.text}") in text
    assert bare(NOTHING_FOUND) not in text


def test_tax_stands_once_on_the_total() -> None:
    text = said(printed(demos()))
    assert text.count(bare("Tax, 20 %")) == 1
    assert bare(IN_IT) in text


def test_it_says_whose_figures_they_are_and_from_which_tree() -> None:
    text = said(printed(demos(), job="B-17"))
    assert bare("The figures are the workshop's own, Harbour Lane Garage.") in text
    assert bare("JobB-17") in text
    assert bare("Rattle on cold start, revision 1, 2026-11-25") in text


def test_a_library_without_a_shop_counts_in_hours() -> None:
    found = reckoned("low-flow", replace(pump(), shop=None))
    text = said(printed(found))
    assert bare(words.terms(found)) in text
    assert "EUR" not in text
    assert outside(printed(found)) == []


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("word", [LONG, "<b>漢字</b> &amp; ) Tj"])
def test_hostile_text_is_text_and_stays_in_its_margins(word: str, paper: str) -> None:
    held = pump()
    faults = {name: replace(one, title=f"{one.title} {word}") for name, one in held.faults.items()}
    checks = {name: replace(one, ask=f"{one.ask} {word}") for name, one in held.checks.items()}
    known = replace(held, faults=faults, checks=checks, cautions={"c": Caution("c", f"Stop {word}", "stop")})
    known = replace(known, trees={name: replace(one, cautions=("c",)) for name, one in known.trees.items()})
    found = reckoned("low-flow", known, strainer_drop="0.3 bar")
    sheet = printed(found, paper, vehicle=word)
    assert outside(sheet) == []
    for text in texts(sheet):
        assert bare(f"Stop {word}") in text
        assert bare(known.checks["strainer-drop"].ask) in text
        assert all(bare(line) in text for line in words.likely(found))


def test_two_runs_make_the_same_bytes() -> None:
    assert pdf.paint(printed(demos())) == pdf.paint(printed(demos()))
