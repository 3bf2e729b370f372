"""The printable estimate: the screen's own words, the dots, a line to sign for each stage."""

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
from diagtree.report.estimate_text import cautions
from diagtree.report.sheets import pdf
from diagtree.report.sheets.estimate import IN_IT, NOTHING_FOUND, estimate_sheet
from diagtree.report.sheets.heading import Heading
from diagtree.report.sheets.marks import Disc, Frame, Words
from diagtree.report.sheets.paper import PAPERS
from diagtree.report.sheets.sheet import Sheet, outside
from diagtree.source.reader import read
from diagtree.walk.answers import Refused, read_finding
from tests.report.sheets.opened import bare, demo, said, texts

PUMP = Path(__file__).resolve().parents[2] / "foreign" / "pump"
LONG = "Nockenwellenverstellermagnetventilanschlussstecker" * 8


@cache
def pump() -> Library:
    return read(str(PUMP)).library


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
    assert all(stage.alone is not None for stage in found.stages)
    sheet = printed(found)
    for stage in found.stages:
        amount = words.figure(found.library.rates, stage.price.percentile(0.8))
        cells = [(page, one) for page in range(len(sheet.pages)) for one in _on(sheet, page) if one.text == amount]
        # The amount that is given, the signature, the day.
        assert 3 in [len(_framed(sheet, page, cell)) for page, cell in cells], amount
    assert enough(found) >= found.stages[-1].price.percentile(0.8)


def _framed(sheet: Sheet, page: int, cell: Words) -> list[Frame]:
    """The frames in the same row to the right."""
    frames = [mark for mark in sheet.pages[page] if isinstance(mark, Frame) and mark.left > cell.left]
    return [frame for frame in frames if frame.top < cell.baseline < frame.top + frame.height]


def _on(sheet: Sheet, page: int) -> list[Words]:
    return [mark for mark in sheet.pages[page] if isinstance(mark, Words)]


def test_a_stage_that_never_comes_about_is_not_to_be_signed() -> None:
    found = demos()
    diagnosis, opening, repair = found.stages
    never = replace(found, stages=(diagnosis, replace(opening, alone=None, reached=0.0), repair))
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
