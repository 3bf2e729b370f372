"""The job sheet: all of the scope, nothing outside its margins, nothing guessed, nothing interpreted."""

import io
import re
from dataclasses import replace
from itertools import pairwise

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.draw.addresses import addresses
from diagtree.draw.bidi import joined
from diagtree.draw.codebox import REMARK
from diagtree.draw.font import clean
from diagtree.model.check import Answer, Band, Check, Gauge
from diagtree.model.engine import Cam, Engine, Tightening, Timing
from diagtree.model.fault import Caution
from diagtree.model.library import NOTICE, Library
from diagtree.model.quantity import Hours
from diagtree.reason.finding import Finding, plain
from diagtree.report.lines import hours as hours_shown
from diagtree.report.lines import money
from diagtree.report.scope import as_dict
from diagtree.report.sheets import pdf
from diagtree.report.sheets.agreed import AGREED, Agreement
from diagtree.report.sheets.heading import Heading
from diagtree.report.sheets.job import DECLINED, as_pdf, job_sheet
from diagtree.report.sheets.marks import Disc, Frame, Stroke, Words
from diagtree.report.sheets.paper import MARGIN, PAPERS
from diagtree.report.sheets.setting import HEADING, SMALLEST
from diagtree.report.sheets.sheet import Sheet, outside
from diagtree.report.sheets.verdict import Verdict
from diagtree.scope.scope import Scope, scope
from tests.report.sheets.opened import bare, demo, made, page_said, said, scoped, texts
from tests.scope.making import SHOP, engine, engines, fault, kit, library, part, step, take

LONG = "Nockenwellenverstellermagnetventilanschlussstecker" * 12
HOSTILE = [
    "<b>bold</b> <para> &amp; </para> <font color=red>",
    ") Tj ET endstream (\\) BT /JS << /OpenAction >>",
    "%s {0} \\n ${HOME}",
    LONG,
    "漢字カナ混じり文 한국어 \U0001f469",
    "Пружина « ½ » → ✓ œuvre",
]


def small(word: str = "", steps: int = 2, sentences: int = 2) -> Library:
    """An engine whose every text holds a word."""
    mark = f" {word}".rstrip()
    works = [
        replace(
            step(f"s{number}", after=[f"s{number - 1}"] if number else [], takes=[take(f"p{number}")]),
            title=f"Step {number} of it{mark}",
            do=tuple(f"Do {number}.{at}{mark}" for at in range(sentences)),
            tools=(f"wrench{mark}",),
            cautions=("stop-it", "mind-it"),
            torque=(Tightening(f"Bolt {number}{mark}", ("30 lbf ft", "-360 deg", "18 lbf ft", "180 deg")),),
        )
        for number in range(steps)
    ]
    parts = [
        replace(part(f"p{number}", 5.0 + number, single_use=f"Stretched{mark}"), deposit=3.0) for number in range(steps)
    ]
    known = engine(works, parts, [kit("K-1", 4.0, p0=1)])
    offered = replace(step("extra", 0.5, after=["s0"], offer=f"Behind it{mark}"), title=f"Extra{mark}")
    known = replace(known, title=f"Engine{mark}", work={**known.work, "extra": offered})
    worn = replace(
        fault("worn", f"s{steps - 1}"), title=f"Worn{mark}", verify=(f"Listen{mark}",), cautions=("stop-it",)
    )
    check = Check(
        id="gap",
        ask=f"How wide is the gap?{mark}",
        answers=(Answer("low", f"Narrow{mark}", Band(None, 3.0)), Answer("high", f"Wide{mark}", Band(3.0, None))),
        hours=Hours(0.1, 0.1, 0.1),
        kind="reading",
        gauge=Gauge("mm", 0.1),
        given={"worn": (1.0, 9.0)},
    )
    return replace(
        library(known, worn),
        cautions={
            "stop-it": Caution("stop-it", f"Stop here{mark}", "stop"),
            "mind-it": Caution("mind-it", f"Mind{mark}"),
        },
        checks={"gap": check},
    )


def of(known: Library) -> Scope:
    (motor,) = known.engines.values()
    return scope(known, motor, tuple(motor.builds.values()), tuple(known.faults.values()))


CASES = [("brennick-v8", "van-early"), ("brennick-v8", ""), ("brennick-i4", "")]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("motor", "build"), CASES)
def test_every_step_part_and_purchase_of_the_json_is_on_the_sheet(motor: str, build: str, paper: str) -> None:
    work = scoped("chain-elongated", engine=motor, build=build)
    data = as_dict(work)
    for text in texts(made(work, paper=paper)):
        for number, one in enumerate(data["steps"], 1):
            assert bare(f"{number}. {one['title']}") in text
            for sentence in one["do"]:
                assert bare(sentence) in text
            for tool in one["tools"]:
                assert bare(tool) in text
        for one in data["parts"]:
            assert bare(f"{one['title']}") in text
            assert bare(one["number"]) in text
            assert not one["single_use"] or bare(f"Single use: {one['reason']}") in text
        for one in data["buy"]:
            assert bare(f"{one['count']}{one['unit']} {one['number']} {one['title']}") in text
        for one in data["cautions"]:
            assert bare(one["say"]) in text
        for sentence in data["verify"]:
            assert bare(sentence) in text
        assert all(bare(one["title"]) in text for one in data["offers"] if one["ready"])
        assert bare(NOTICE) in text


def test_tightening_is_in_the_shops_unit_with_the_books_in_brackets_and_a_box_for_each_step() -> None:
    known = replace(small(), shop=replace(SHOP, units=("N m",)))
    sheet = made(of(known))
    for text in texts(sheet):
        assert text.count(bare("1. 41 N m (30 lbf ft)")) == 2
        assert bare("2. loosen 360 deg") in text
        assert bare("3. 24 N m (18 lbf ft)") in text
        assert bare("4. 180 deg further") in text
    rows = [words for words in sheet.words if re.match(r"\d\. (41|loosen|24|180)", words.text)]
    boxes = [mark for page in sheet.pages for mark in page if isinstance(mark, Frame)]
    for words in rows:
        assert any(0 < words.left - box.extent.right < 10 and box.extent.bottom <= words.baseline + 1 for box in boxes)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("word", HOSTILE, ids=["mark-up", "pdf", "formats", "long", "east", "other"])
def test_hostile_text_is_text_and_stays_in_its_margins(word: str, paper: str) -> None:
    sheet = made(of(small(word)), Heading(job=word, vehicle=word, customer=word, printed="2026-11-25"), paper)
    assert outside(sheet) == []
    titles = [f"Step 0 of it {word}", f"Do 1.1 {word}", f"wrench {word}", f"Stop here {word}", f"Stretched {word}"]
    for text in texts(sheet):
        for one in (*titles, f"Listen {word}", f"Extra {word}", f"Worn {word}", f"How wide is the gap? {word}"):
            assert bare(one) in text


def test_hebrew_is_set_from_right_to_left() -> None:
    import pypdfium2

    page = pypdfium2.PdfDocument(pdf.paint(made(of(small("שלום")))))[0].get_textpage()
    text = page.get_text_range()
    first, last = (page.get_charbox(text.index(letter)) for letter in "שם")
    assert first[0] > last[0]
    assert first[1] == pytest.approx(last[1], abs=6)


def test_what_has_no_shape_in_our_font_is_said_on_each_page() -> None:
    sheet = made(of(small("漢字")))
    assert all(bare(REMARK) in bare("".join(page_said(sheet, at))) for at in range(len(sheet.pages)))
    assert bare(REMARK) not in said(made(of(small("plain"))))


@pytest.mark.parametrize("motor", ["brennick-v8", "brennick-i4"])
def test_no_sheet_of_the_demo_leaves_its_margins(motor: str) -> None:
    known = demo()
    able = [
        name
        for name, one in known.faults.items()
        if any(one.when.admits(build.features) for build in known.engines[motor].builds.values())
    ]
    for at, (name, other) in enumerate(pairwise(able)):
        sheet = made(scoped(name, other, engine=motor), paper=list(PAPERS)[at % 2])
        assert outside(sheet) == [], name
        assert min(words.size for words in sheet.words) >= SMALLEST


@pytest.mark.parametrize("paper", PAPERS)
def test_ink_stays_inside_the_margins_of_the_printed_page(paper: str) -> None:
    """What another library's eye sees, not what we think that we set."""
    import pypdfium2

    data = pdf.paint(made(of(small(LONG, steps=3)), paper=paper))
    document = pypdfium2.PdfDocument(data)
    for at in range(len(document)):
        picture = document[at].render(scale=2, grayscale=True).to_pil().point(lambda value: 255 - value)
        left, top, right, bottom = picture.getbbox()
        edge = 2 * MARGIN - 3
        assert edge <= left < right <= picture.width - edge
        assert edge <= top < bottom <= picture.height - edge


def test_pages_are_exactly_the_paper_and_the_fonts_are_inside() -> None:
    for name, width, height in (("A4", 210 / 25.4 * 72, 297 / 25.4 * 72), ("letter", 8.5 * 72, 11 * 72)):
        reader = pypdf.PdfReader(io.BytesIO(as_pdf(of(small("漢")), Heading(), name)), strict=True)
        for page in reader.pages:
            assert [float(side) for side in page.mediabox[2:]] == pytest.approx([width, height], abs=0.01)
            fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
            assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)
        assert reader.metadata is not None
        assert reader.metadata.title == "Job sheet: Worn 漢"
        assert reader.trailer["/Root"]["/Lang"] == "en"
        assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_it_is_black_and_grey_alone() -> None:
    reader = pypdf.PdfReader(io.BytesIO(as_pdf(scoped("chain-elongated"), Heading(code="DT1-7GQ2"))))
    for page in reader.pages:
        drawn = re.sub(rb"\((?:\\.|[^\\()])*\)", b"", page.get_contents().get_data())
        assert re.search(rb"\b(rg|RG|k|K|sc|SC|scn|SCN)\b", drawn) is None
        assert re.search(rb"\bg\b", drawn)


def test_two_runs_make_the_same_bytes() -> None:
    heading = Heading(job="17", vehicle="Van", printed="2026-11-25", code="DT1-7GQ2-XK4M")
    assert as_pdf(of(small("漢")), heading) == as_pdf(of(small("漢")), heading)


@settings(max_examples=25)
@given(
    engines(),
    st.sampled_from(list(PAPERS)),
    st.text(st.characters(exclude_categories=["C", "Z"], exclude_characters="."), max_size=90),
)
def test_any_scope_is_whole_and_inside_its_margins(motor: Engine, paper: str, word: str) -> None:
    work = {name: replace(one, title=f"{one.title} {word}", do=(word, "End.")) for name, one in motor.work.items()}
    motor = replace(motor, work=work)
    wanted = fault("worn", *motor.work)
    made_of = scope(library(motor, wanted), motor, tuple(motor.builds.values()), [wanted])
    sheet = made(made_of, paper=paper)
    assert outside(sheet) == []
    found = [words.text for words in sheet.words]
    text = said(sheet)
    assert [one for one in found if re.fullmatch(r"\d+\.", one)] == [f"{at + 1}." for at in range(len(made_of.steps))]
    for marked in made_of.steps:
        assert bare(joined(clean(marked.entry.step.title))) in text
    for part_line in made_of.parts:
        assert bare(part_line.entry.number) in text


def sixty() -> Sheet:
    return made(of(small(steps=60, sentences=4)))


def test_sixty_steps_are_all_there_numbered_pages_and_heads_again() -> None:
    sheet = sixty()
    many = len(sheet.pages)
    assert outside(sheet) == []
    for text in texts(sheet):
        assert all(bare(f"{number + 1}. Step {number} of it") in text for number in range(60))
        assert all(f"N-p{number}" in text for number in range(60))
    for at in range(many):
        assert f"Page {at + 1} of {many}" in page_said(sheet, at)
        assert at == 0 or "Job sheet: Worn" in page_said(sheet, at)
    pages_with_parts = [at for at in range(many) if any(re.fullmatch(r"N-p\d+", text) for text in page_said(sheet, at))]
    assert len(pages_with_parts) > 2
    assert all("Quantity" in page_said(sheet, at) for at in pages_with_parts)


def test_no_heading_and_no_first_row_stands_last_on_its_page() -> None:
    for sheet in (sixty(), made(scoped("chain-elongated")), made(scoped("chain-elongated"), paper="letter")):
        for page in sheet.pages:
            body = [mark for mark in page if isinstance(mark, Words)]
            lowest = max(words.baseline for words in body if words.size > SMALLEST)
            last = [words for words in body if words.baseline == lowest]
            assert not [words for words in last if words.size == HEADING.size]
            heads = [words.baseline for words in body if words.text == "Quantity"]
            assert not heads or max(heads) < lowest


def test_a_step_that_fits_on_a_page_is_not_parted() -> None:
    sheet = sixty()
    for at in range(len(sheet.pages)):
        found = page_said(sheet, at)
        begun = [int(one.removesuffix(".")) - 1 for one in found if re.fullmatch(r"\d+\.", one)]
        for number in begun:
            assert f"Do {number}.3" in found


def test_a_step_longer_than_a_page_goes_on_under_its_title() -> None:
    sheet = made(of(small(steps=1, sentences=150)))
    assert outside(sheet) == []
    assert "1. Step 0 of it (continued)" in page_said(sheet, 2)
    assert all(bare(f"Do 0.{at}") in said(sheet) for at in range(150))


def test_what_is_open_is_listed_with_every_alternative() -> None:
    work = scoped("chain-elongated")
    assert len(work.alternatives) > 1
    text = said(made(work))
    for name, values in work.open.items():
        feature = work.engine.features[name]
        assert bare(f"{feature.title}How to see it: {feature.tell}{''.join(values)}") in text
    for one in work.alternatives:
        assert all(build.id in text for build in one.builds)
        assert bare(money(one.repair.buy_cost, "EUR")) in text
    for marked in work.parts:
        assert bare(marked.entry.number) in text
    listed = sum(bool(marked.when) for marked in work.steps) + sum(bool(marked.when) for marked in work.parts)
    assert text.count("Onlywhere'") >= listed + sum(bool(marked.when) for marked in work.buy)


def test_what_checks_opened_is_closed_again_with_its_bill() -> None:
    known = small()
    (motor,) = known.engines.values()
    opened = {"gap": ("s0",)}
    work = scope(known, motor, tuple(motor.builds.values()), tuple(known.faults.values()), opened)
    assert work.close_up is not None
    text = said(made(work))
    assert bare("What was opened for checks is closed again in the work above") in text
    assert bare(f"If what was opened is only closed: 1 h, parts 5.00 EUR, {money(work.close_up.cost, 'EUR')}") in text
    assert bare("is only closed") not in said(made(of(known)))


def test_deposits_are_listed_apart_with_their_sum() -> None:
    text = said(made(of(small())))
    assert bare("Old parts to send back") in text
    assert bare("1The p03.00 EUR3.00 EUR") in text
    assert bare("Old parts to send back") not in said(made(scoped("oil-low")))


def double(sheet: Sheet) -> list[tuple[Frame, Frame]]:
    """Frames that hold another just inside."""
    return [
        (one, other)
        for page in sheet.pages
        for one in page
        for other in page
        if isinstance(one, Frame)
        and isinstance(other, Frame)
        and abs(other.left - one.left - 3) < 0.01
        and abs(other.top - one.top - 3) < 0.01
    ]


def test_a_stop_caution_stands_in_a_double_frame_and_a_warning_does_not() -> None:
    sheet = made(of(small(steps=1)))
    assert len(double(sheet)) == 2  # at the top, and at the step
    for page in sheet.pages:
        inside = [inner for _, inner in double(replace(sheet, pages=(page,)))]
        for words in (mark for mark in page if isinstance(mark, Words)):
            framed = any(inner.extent.holds(words.extent) for inner in inside)
            assert framed == (words.text in {"STOP:", "Stop here"})


def test_the_code_is_drawn_and_its_text_stands_below() -> None:
    sheet = made(of(small()), Heading(code="DT1 7GQ2 XK4M"))
    assert all(bare("DT1 7GQ2 XK4M") in text for text in texts(sheet))
    assert outside(sheet) == []


def test_blanks_stand_where_nothing_is_known_and_values_where_it_is() -> None:
    blank = said(made(of(small())))
    assert all(bare(label) in blank for label in ("Vehicle", "Job", "Customer", "Registration or VIN", "Initials"))
    filled = Heading(job="B-17", vehicle="White van", customer="Harbour Ferries", printed="2026-11-25")
    text = said(made(of(small()), filled))
    assert all(bare(value) in text for value in ("JobB-17", "VehicleWhite van", "CustomerHarbour Ferries"))


def test_the_trees_revision_and_date_stand_at_the_top_and_on_each_page() -> None:
    tree = demo().trees["rattle-on-cold-start"]
    sheet = made(scoped("oil-low"), Heading(tree=tree, printed="2026-11-26"))
    where = f"{tree.title}, revision {tree.revision}, {tree.date}"
    assert bare(f"Tree{where}") in said(sheet)
    for at in range(len(sheet.pages)):
        assert f"Harbour Lane Garage · {where} · printed 2026-11-26" in page_said(sheet, at)


def test_readings_have_blanks_with_the_limits_of_this_engine() -> None:
    known = small()
    text = said(made(of(known)))
    assert bare("How wide is the gap?") in text
    assert bare("below 3 mm: Narrow") in text
    (motor,) = known.engines.values()
    moved = replace(motor, limits={"gap": {"low": Band(None, 5.0), "high": Band(5.0, None)}})
    text = said(made(of(replace(known, engines={motor.id: moved}))))
    assert bare("below 5 mm: Narrow") in text
    assert bare("below 3 mm") not in text


def test_limits_and_readings_are_in_the_shops_unit_with_the_books_in_brackets() -> None:
    """15 psi is 103 kPa: 6.894757 kPa a psi (NIST SP 811, appendix B)."""
    known = small()
    bands = (Answer("low", "Low", Band(None, 15.0)), Answer("high", "High", Band(15.0, None)))
    check = replace(known.checks["gap"], answers=bands, gauge=Gauge("psi", 0.5))
    known = replace(known, checks={"gap": check}, shop=replace(SHOP, units=("kPa",)))
    findings = {"gap": replace(plain(check, "low"), values=(14.0,))}
    text = said(job_sheet(of(known), Heading(), PAPERS["A4"], findings))
    assert bare("below 103 kPa (15 psi): Low") in text
    assert bare("96.5 kPa (14 psi)") in text


def test_a_reading_of_a_tree_says_where_it_stands_on_the_poster() -> None:
    known = demo()
    tree = known.trees["rattle-on-cold-start"]
    where = addresses(known, tree)
    asked = [node for node in tree.questions if known.checks[node.check].kind == "reading"]
    text = said(made(scoped("oil-low"), Heading(tree=tree)))
    assert asked
    for check in {node.check for node in asked}:
        places = ", ".join(where[node.id] for node in asked if node.check == check)
        assert bare(f"On the poster: {places}") in text
    assert bare("On the poster") not in said(made(scoped("oil-low")))


def timed() -> Library:
    known = small()
    (motor,) = known.engines.values()
    timing = Timing(8.0, 22, 44, {"intake-1": Cam("intake-1", 1, 310), "exhaust-1": Cam("exhaust-1", 1, 395)})
    names = ("none", "stretched", "mixed")
    offsets = Check(
        id="offsets",
        ask="Offsets?",
        answers=tuple(Answer(name, name) for name in names),
        hours=Hours(0.1, 0.1, 0.1),
        kind="offsets",
        offset_uncertainty=2.0,
        given={"worn": (1.0, 1.0, 1.0)},
    )
    return replace(
        known, engines={motor.id: replace(motor, timing=timing)}, checks={**known.checks, "offsets": offsets}
    )


def test_offsets_that_were_read_are_drawn_and_others_are_blank() -> None:
    known = timed()
    blank = made(of(known))
    assert not [mark for page in blank.pages for mark in page if isinstance(mark, Disc)]
    assert said(blank).count("degfound") == 2
    found = replace(plain(known.checks["offsets"], "stretched"), offsets=((("intake-1", -4.0), ("exhaust-1", 6.0)),))
    reading = replace(plain(known.checks["gap"], "low"), values=(2.5,))
    findings: dict[str, Finding] = {"offsets": found, "gap": reading}
    sheet = job_sheet(of(known), Heading(), PAPERS["A4"], findings)
    early, late = sorted(
        (mark for page in sheet.pages for mark in page if isinstance(mark, Disc)), key=lambda mark: -mark.across
    )
    middle = (early.across * 4 + late.across * 6) / 10  # of two points at 6 and at -4 degrees, where 0 is
    (zero,) = (words for words in sheet.words if words.text == "0")
    assert zero.left + zero.width / 2 == pytest.approx(middle, abs=0.01)
    bars = [mark for page in sheet.pages for mark in page if isinstance(mark, Stroke) and mark.pen > 2]
    each = (early.across - late.across) / 10  # points for each degree
    assert [bar.right - bar.left for bar in bars] == pytest.approx([2 * 2.0 * each] * 2, abs=0.01)
    assert {"-4.0 deg", "6.0 deg", "2.5 mm"} <= {words.text for words in sheet.words}
    assert outside(sheet) == []


@pytest.mark.parametrize("hours", [0.0, 12345.25, 1e40])
def test_no_figure_is_ever_cut(hours: float) -> None:
    known = library(engine([step("long", hours, takes=[take("p")])], [part("p", hours + 0.5)]), fault("worn", "long"))
    sheet = made(of(known))
    assert outside(sheet) == []
    (alone,) = of(known).alternatives
    for figure in (hours_shown(alone.repair.hours), money(alone.repair.parts_cost, "EUR")):
        assert bare(figure) in said(sheet)


def test_what_could_not_be_reckoned_is_said() -> None:
    work = of(library(engine([step("s", takes=[take("nosuch")])]), fault("worn", "s")))
    assert work.remarks
    assert all(bare(remark) in said(made(work)) for remark in work.remarks)


def test_what_the_customer_agreed_to_and_declined_is_on_it() -> None:
    work = scoped("chain-elongated", build="van-late")
    first, second, *_ = [marked.entry for marked in work.offers if marked.entry.ready]
    lines = ("Authorised for the whole visit, with tax: 1900.00 EUR, by Ann Other, 2026-11-25.", "Declined it.")
    plain = job_sheet(work, Heading(), PAPERS["A4"])
    said_yes = Verdict(agreement=Agreement(lines, frozenset({first.step.id})))
    sheet = job_sheet(work, Heading(), PAPERS["A4"], {}, said_yes)
    assert outside(sheet) == []
    for text in texts(sheet):
        assert all(bare(line) in text for line in (AGREED, *lines))
        assert text.count(bare(DECLINED)) == 1
        assert bare(f"{DECLINED} {first.step.title}") in text
        assert bare(f"{DECLINED} {second.step.title}") not in text
    assert bare(AGREED) not in said(plain)
    boxes = [sum(isinstance(mark, Frame) for page in one.pages for mark in page) for one in (plain, sheet)]
    assert boxes[0] - boxes[1] == 1


def test_nothing_to_do_is_said() -> None:
    known = library(engine([]), fault("none-needed"))
    text = said(made(of(known)))
    assert bare("Work: none is needed.") in text
    assert "Partstopick" not in text
