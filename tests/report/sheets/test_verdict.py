"""A walk's job sheet holds what the screen says of it: why, how sure, what was found and in which order."""

import io
import re
from dataclasses import replace

import pypdf
import pytest

from diagtree.draw.addresses import addresses
from diagtree.model.engine import Tightening
from diagtree.report import walk
from diagtree.report.chances import in_hundred
from diagtree.report.lines import hours
from diagtree.report.scope_words import CLOSING, ROUNDED
from diagtree.report.sheets import pdf
from diagtree.report.sheets.found import told
from diagtree.report.sheets.heading import Heading
from diagtree.report.sheets.job import DOUBTS, as_pdf, job_sheet
from diagtree.report.sheets.marks import Frame, Words
from diagtree.report.sheets.paper import PAPERS
from diagtree.report.sheets.sheet import Sheet, outside
from diagtree.report.sheets.verdict import AFTER, NAMED, of_named, verdict
from diagtree.scope.scope import Scope, scope
from diagtree.walk.result import Result, left_by, result
from diagtree.walk.session import Session
from tests.report.sheets.opened import bare, made, said, texts
from tests.scope.making import engine, fault, kit, library, part, step, take
from tests.walk.samples import NOISE, reply, start

# Both banks' codes with sound plates and a whole guide fit no one cause; the guide is said to be broken.
UNFITTING = ("guide=broken", "ok", "150", "P0016+P0018", "good", "free")
GROUND = "the author's estimate, no closed jobs"


def places(session: Session) -> dict[str, dict[str, str]]:
    known = session.case.library
    return {tree: dict(addresses(known, known.trees[tree])) for tree in known.trees}


def printed(found: Result, paper: str = "A4") -> Sheet:
    assert found.scope is not None
    session = found.session
    lines = told(session.case.library, session, places(session))
    heading = Heading(tree=session.tree, printed="2026-11-25", code="E62S6A-6MK3UK-CW76AG-" * 9)
    return job_sheet(found.scope, heading, PAPERS[paper], session.known.findings, verdict(found, lines))


@pytest.mark.parametrize("paper", PAPERS)
def test_the_doubts_and_the_residual_stand_in_a_frame_before_the_work(paper: str) -> None:
    found = result(reply(start(NOISE, "rattle"), *UNFITTING))
    assert found.residual is not None
    assert walk.TWO_CAUSES in walk.doubts(found)
    sheet = printed(found, paper)
    assert outside(sheet) == []
    back = f"{AFTER} {in_hundred(found.residual)} such cars would come back with another cause. Ground: {GROUND}."
    for text in texts(sheet):
        before, work, _ = text.partition(bare("Work: "))
        assert work
        assert bare(back) in before
        assert all(bare(line) in before for line in (DOUBTS, *walk.doubts(found), *walk.chances_lines(found)))
    frames = [mark for mark in sheet.pages[0] if isinstance(mark, Frame)]
    (doubt,) = (mark for mark in sheet.pages[0] if isinstance(mark, Words) and mark.text == DOUBTS)
    assert [frame for frame in frames if frame.extent.holds(doubt.extent)]


def test_without_a_doubt_only_the_residual_is_said() -> None:
    found = result(reply(start(NOISE, "rattle"), "low"))
    assert walk.doubts(found) == []
    text = said(printed(found))
    assert bare(DOUBTS) not in text
    assert bare(AFTER) in text


def test_answers_that_contradict_one_another_leave_no_figure() -> None:
    sure = NOISE.replace(
        "    given: {default: {low: 5, ok: 95}, oil-low: {low: 90, ok: 10}}",
        "    slip: 0\n    given: {default: {low: 0, ok: 1}}",
    ).replace("other: 5", "other: 0")
    found = result(reply(start(sure, "rattle"), "low"))
    assert found.residual is None
    text = said(printed(found))
    assert bare("The answers contradict one another: how often the car would come back is not known.") in text
    assert bare("Where does the oil stand on the dipstick? Below the lower mark") in text.partition("Work:")[0]


def test_why_it_comes_about_and_the_note_of_the_outcome_are_on_it() -> None:
    text = said(printed(result(reply(start(NOISE, "rattle"), "low"))))
    assert bare("Why: Leak or use.") in text
    assert bare("Note: Look for the leak.") in text


def test_a_caution_of_the_tree_stands_before_the_work() -> None:
    """No step of filling up names it; the tree does."""
    text = said(printed(result(reply(start(NOISE, "rattle"), "low"))))
    assert bare("STOP: Valves and pistons share space. Turn by hand.") in text.partition("Work:")[0]


def test_faults_that_were_named_say_that_no_walk_led_to_them() -> None:
    found = result(reply(start(NOISE, "rattle"), "low"))
    assert found.scope is not None
    assert bare(NAMED) in said(job_sheet(found.scope, Heading(), PAPERS["A4"]))
    assert bare(NAMED) not in said(printed(found))


def test_faults_that_were_named_beside_a_walk_have_its_residual() -> None:
    found = result(reply(start(NOISE, "rattle"), "low"))
    session = found.session
    named = session.case.library.faults["pump-worn"]
    left = left_by(session, [named])
    assert left is not None
    assert found.residual is not None
    assert left > found.residual  # the oil speaks for 'oil low'
    work = scope(session.case.library, session.case.engine, session.known.builds, [named])
    text = said(job_sheet(work, Heading(), PAPERS["A4"], said=of_named(found, left)))
    assert bare(f"{AFTER} {in_hundred(left)} such cars would come back") in text


def test_what_was_found_is_numbered_in_the_order_of_the_answers_with_its_place_on_the_poster() -> None:
    session = reply(
        start(NOISE, "rattle"), "?", "note it was dark", "150", "oil-level=ok", "P0016", "guide=broken", "good"
    )
    where = places(session)
    lines = told(session.case.library, session, where)
    starts = ("Where does the oil stand", "Oil pressure at hot idle? 150 kPa:", "Which codes are stored? P0016")
    assert [line.startswith(begun) for line, begun in zip(lines, starts, strict=False)] == [True] * 3
    assert lines[0].endswith(f"(Poster of 'Rattle': {where['rattle']['level']})")
    assert lines[3] == f"Is the guide broken? Broken. (Poster of 'Inside the cover': {where['inside']['see']})"
    noted = [line for line in lines if "Note: it was dark" in line]
    assert len(noted) == 1


def test_what_could_not_be_told_is_said() -> None:
    session = reply(start(NOISE, "rattle"), "?", "80")
    lines = told(session.case.library, session, places(session))
    assert lines[0].startswith("Where does the oil stand on the dipstick? could not be told.")


def test_the_numbers_stand_on_the_sheet() -> None:
    found = result(reply(start(NOISE, "rattle"), "ok", "80"))
    assert bare("1. Where does the oil stand on the dipstick? Between the marks.") in said(printed(found))
    assert bare("2. Oil pressure at hot idle? 80 kPa: Below the limit.") in said(printed(found))


BOTH = ("guide=broken", "ok", "150", "P0016", "free")


def test_an_outcome_of_several_faults_is_one_of_them_and_names_none_that_the_build_cannot_have() -> None:
    session = reply(start(NOISE, "rattle", chain="roller"), *BOTH)
    assert walk.standing_lines(session)[0] == "Outcome: one of: Guide broken; Chain long"
    assert bare("One of: Guide broken; Chain long") in said(printed(result(session)))
    silent = NOISE.replace("chain-long:\n    {title", "chain-long:\n    {when: {chain: silent}, title")
    session = reply(start(silent, "rattle", chain="roller"), *BOTH)
    assert walk.standing_lines(session)[0] == "Outcome: Guide broken"
    sheet = printed(result(session))
    assert sheet.title == "Job sheet: Guide broken"
    text = said(sheet).replace(bare("'Chain long' cannot be in this build: its work is left out."), "")
    assert bare("Chain long") not in text


def test_the_code_is_never_broken_inside_a_group() -> None:
    sheet = printed(result(reply(start(NOISE, "rattle"), "low")))
    shown = [words.text for words in sheet.words if re.fullmatch(r"[0-9A-Z]{6}-", words.text)]
    assert shown == ["E62S6A-", "6MK3UK-", "CW76AG-"] * 9
    rows = sorted({mark.baseline for mark in sheet.pages[0] if isinstance(mark, Words) and mark.text in shown})
    assert len(rows) == 5  # six groups in a row


# What a scope's sheet says of its figures


def worked() -> Scope:
    known = engine(
        [
            replace(
                step("lid-off", 1 / 3, takes=[take("seal"), take("oil", 2.5)]),
                do=("Undo it.", "At the end: new seal."),
                torque=(Tightening("Lid", ("10 N m",)),),
                source="the maker's book, page 7",
            ),
            replace(step("box-off", 1, after=["lid-off"]), do=("Set it down. At the end, all dry: bolt it on.",)),
            replace(step("renew", 1, after=["box-off"]), do=("Fit it.", "At the end: look for leaks."), source="x"),
            replace(step("bare", 1, after=["box-off"], follows=["renew"]), torque=(Tightening("Plug", ("30 N m",)),)),
        ],
        [part("seal", 5.0), part("oil", 10.0, unit="l")],
        [kit("K-1", 4.0, seal=1, oil=4)],
    )
    wanted = fault("worn", "renew", "bare")
    return scope(library(known, wanted), known, tuple(known.builds.values()), [wanted])


def test_a_tightening_has_its_source_and_no_other_step_has() -> None:
    text = said(made(worked()))
    assert bare("Tighten Lid: 10 N mSource: the maker's book, page 7") in text
    assert bare("Tighten Plug: 30 N mSource: none given. The maker's data decide.") in text
    assert text.count("Source:") == 2


def test_a_kit_says_what_it_holds() -> None:
    assert all(bare("Holds: 1 x The seal; 4 l x The oil.") in text for text in texts(made(worked())))


def test_what_is_closed_stands_once_more_behind_the_work_the_last_opened_first() -> None:
    text = said(made(worked())).partition(bare(CLOSING))[2]
    found = [
        text.index(bare(one))
        for one in (
            "Step 2, The box-off:All dry: bolt it on.",
            "Step 1, The lid-off:New seal.",
            "Step 3, The renew:Look for leaks.",  # a repair's own end comes when all is closed
        )
    ]
    assert found == sorted(found)
    assert bare("Undo it.") not in text


def test_hours_that_do_not_add_up_as_printed_say_so() -> None:
    work = worked()
    (one,) = work.alternatives
    assert hours(one.repair.steps[0].hours) == "0.33 h"
    assert bare(ROUNDED) in said(made(work))
    known = engine([step("s", 0.25), step("t", 0.5)])
    wanted = fault("worn", "s", "t")
    even = scope(library(known, wanted), known, tuple(known.builds.values()), [wanted])
    assert bare(ROUNDED) not in said(made(even))


# The file itself


def test_the_file_says_whose_it_is_where_it_is_from_and_when_it_was_made() -> None:
    heading = Heading(printed="2026-11-25", library="0123abcd")
    reader = pypdf.PdfReader(io.BytesIO(as_pdf(worked(), heading)), strict=True)
    assert reader.metadata is not None
    assert (reader.metadata.author, reader.metadata.get("/CreationDate")) == ("Shop", "D:20261125")
    assert reader.metadata.subject == "Shop · library 0123abcd · printed 2026-11-25"
    assert all("library 0123abcd" in page.extract_text() for page in reader.pages)


def test_its_bookmarks_are_its_sections_and_their_steps() -> None:
    sheet = made(worked())
    reader = pypdf.PdfReader(io.BytesIO(pdf.paint(sheet)), strict=True)
    outline = reader.outline
    titles = [one.title for one in outline if not isinstance(one, list)]
    assert titles[0] == sheet.title
    assert CLOSING in titles
    (steps,) = (one for one in outline if isinstance(one, list))
    assert [one.title for one in steps] == ["1. The lid-off", "2. The box-off", "3. The renew", "4. The bare"]
    for one in (*steps, *(one for one in outline if not isinstance(one, list))):
        page = reader.get_destination_page_number(one)
        assert page is not None
        assert bare(one.title) in bare(reader.pages[page].extract_text()) or one.title == sheet.title


@pytest.mark.parametrize("many", range(1, 40, 3))
def test_the_signature_never_stands_alone_on_a_page(many: int) -> None:
    known = engine([replace(step("s"), do=tuple(f"Do {at}." for at in range(many)))])
    wanted = replace(fault("worn", "s"), verify=("Look at it.", "Listen to it."))
    work = scope(library(known, wanted), known, tuple(known.builds.values()), [wanted])
    for paper in PAPERS:
        sheet = made(work, paper=paper)
        (last,) = (page for page in sheet.pages if any(getattr(mark, "text", "") == "Signed off" for mark in page))
        assert any(getattr(mark, "text", "") == "Listen to it." for mark in last)
