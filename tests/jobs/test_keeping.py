"""A walk as a job: each step kept, gone on with later, elsewhere, together, and under another library."""

import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.jobs import allowance, waits
from diagtree.jobs.address import Address
from diagtree.jobs.allowance import expected_over_authorised
from diagtree.jobs.digest import digest
from diagtree.jobs.handing import Unkept
from diagtree.jobs.keeping import JobKeeper, Terms
from diagtree.jobs.record import Authorised, Entry, Job, now, signed
from diagtree.jobs.store import Store
from diagtree.walk import moves
from diagtree.walk.session import Session, acknowledge
from diagtree.walk.warnings import due
from tests.jobs.walking import Bench, again, answers, opening, stored
from tests.walk.samples import NOISE, YES_NO, library, reply, start

REPLIES = (
    "1", "2", "3", "low", "ok", "?", "back", "95", "104 kPa", "14 psi", "-", "P0016+P0018", "both-banks", "worn",
    "good", "broken", "whole", "free", "stiff", "chain=roller", "chain=silent", "build=late", "guide=broken",
    "plates=good", "crank-by-hand=free", "again 97", "oil-level=?", "revise oil-level low", "revise chain silent",
    "revise pressure 120", "note smells of petrol", "note oil-level: half a litre", "jump inside", "nonsense",
)  # fmt: skip


@pytest.fixture(scope="module")
def file() -> Iterator[Address]:
    with tempfile.TemporaryDirectory() as folder:
        yield Address(str(Path(folder) / "jobs.db"))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(REPLIES), min_size=1, max_size=9), st.integers(0, 9))
def test_a_walk_comes_out_of_its_job_as_it_was(file: Address, texts: list[str], cut: int) -> None:
    """Kept step by step, interrupted anywhere, gone on with by a new process's eyes: the same walk."""
    bench = Bench(file, start(NOISE, "rattle"))
    bench.type(*texts[:cut])
    if bench.keeper.job:
        bench.keeper.close()
        number = bench.job().number
        bench = Bench(file, bench.session, stored(file, number))
    before = bench.session
    bench.type(*texts[cut:])
    plain = before
    for text in texts[cut:]:
        after = moves.answer(plain, text)
        plain = after if isinstance(after, Session) else plain
    assert bench.session == plain
    if bench.keeper.job:
        kept = stored(file, bench.job().number)
        found = again(kept, library(NOISE))
        assert found.misfits == ()
        assert (found.session.preset, found.session.replies) == (plain.preset, plain.replies)
        assert found.session.known == plain.known
        assert found.session.route == plain.route
        assert kept.outcome == (
            (f"{plain.tree.id}/{plain.outcome.id}", plain.outcome.faults) if plain.outcome else None
        )
    bench.keeper.close()


def test_a_job_begins_with_its_first_answer_and_its_number_is_told_once(address: Address) -> None:
    bench = Bench(address, start(NOISE, "rattle"), who="kim")
    session = acknowledge(bench.session, due(bench.session)[0].keys)
    assert bench.keeper.keep(bench.session, session).say == ""
    bench.session = session
    bench.type("chain=roller")
    assert bench.keeper.job is None
    bench.type("ok", "20 psi")
    assert bench.said == ["", "This is job 1.", ""]
    job = stored(address, "1")
    assert [entry.kind for entry in job.entries] == ["library", "acknowledged", "seen", "answered", "answered"]
    assert (job.entries[-1].typed, job.entries[-1].answer, job.entries[-1].who) == ("20 psi", "ok", "kim")
    assert job.entries[-1].value.endswith(" kPa")
    assert job.library == digest(session.case)
    bench.keeper.close()


def test_an_answer_taken_back_stays_in_the_history(address: Address) -> None:
    bench = Bench(address, start(NOISE, "rattle"))
    bench.type("low", "back", "ok")
    job = stored(address, bench.job().number)
    assert [entry.kind for entry in job.entries] == [
        "library",
        "answered",
        "outcome",
        "taken-back",
        "outcome",
        "answered",
    ]
    assert answers(job.replies) == [("oil-level", "ok")]
    bench.keeper.close()


def test_what_was_known_before_the_walk_is_known_when_it_goes_on(address: Address) -> None:
    session = moves.preset(start(NOISE, "rattle", chain="silent"), {"oil-level": "ok", "stored-codes": "-"})
    assert isinstance(session, Session)
    bench = Bench(address, session)
    bench.type("95 kPa")
    found = again(stored(address, bench.job().number), library(NOISE)).session
    assert (found.preset, found.replies, found.case.known) == (
        bench.session.preset,
        bench.session.replies,
        session.case.known,
    )
    assert [build.id for build in found.known.builds] == ["late"]
    bench.keeper.close()


def test_two_benches_go_on_in_agreement(address: Address) -> None:
    one = Bench(address, start(NOISE, "rattle"), who="ann")
    one.type("ok")
    two = Bench(address, one.session, stored(address, one.job().number), who="bob")
    one.type("120 kPa")
    two.type("90 kPa")
    told = "Another bench went on with job 1: pressure=120 kPa by ann."
    aside = "Yours came later and stands aside in the history: pressure=90 kPa. Give it again if it should hold."
    assert two.said == [f"{told} {aside}"]
    assert two.session.known.findings["pressure"].value == 120.0
    two.type("-")
    one.type("guide=broken")
    assert one.said[-1] == "Another bench went on with job 1: stored-codes=- by bob."
    assert one.session.known.findings.keys() == {"oil-level", "pressure", "stored-codes", "guide"}
    two.type("revise pressure 90 kPa")
    assert two.session.known.findings["pressure"].value == 90.0
    one.keeper.close()
    two.keeper.close()


def test_what_could_not_be_kept_is_kept_with_the_next_answer(tmp_path: Path) -> None:
    away = [True]
    address = Address(str(tmp_path / "jobs.db"))
    session = start(NOISE, "rattle")
    keeper = JobKeeper(lambda: Unkept("The disk is full.") if away[0] else opening(address), session, Terms())
    first = reply(session, "ok")
    kept = keeper.keep(session, first, "ok")
    assert kept.session == first
    assert kept.say == "The disk is full. Not saved yet, and tried again with the next answer."
    assert keeper.unsaved == 1
    given = keeper._pending[-1].at
    away[0] = False
    second = reply(first, "120 kPa")
    assert keeper.keep(first, second, "120 kPa").say == "This is job 1."
    assert keeper.unsaved == 0
    job = stored(address, "1")
    assert answers(job.replies) == [("oil-level", "ok"), ("pressure", "120 kPa")]
    assert job.entries[1].at == given
    keeper.close()


def test_whatever_is_typed_can_be_kept(address: Address) -> None:
    """A server takes no zero characters; a store that refuses one reply would refuse all that follow."""
    bench = Bench(address, start(NOISE, "rattle"))
    bench.type("ok", "note smells\x00 of \ud800 petrol \x1b[2J", "120 kPa")
    assert "Not saved" not in " ".join(bench.said)
    assert [entry.typed for entry in stored(address, "1").entries][1:] == [
        "ok",
        "note smells  of   petrol  [2J",
        "120 kPa",
    ]
    bench.keeper.close()


# Under another library


def test_the_digest_tells_what_changes_a_walk_from_what_does_not() -> None:
    now = digest(start(NOISE, "rattle").case)
    assert digest(start(NOISE.replace("hours: 0.5\n", "hours: 0.5  # a remark\n"), "rattle").case) == now
    assert (
        digest(start(NOISE + "---\nfaults:\n  unused: {title: U, why: W, repair: [], verify: [V.]}\n", "rattle").case)
        == now
    )
    for old, new in (
        ("renew-chain: {title: Renew the chain, hours: 0.5", "renew-chain: {title: Renew the chain, hours: 0.6"),
        ("uncertainty: 10", "uncertainty: 11"),
        ("{chain-long: 60,", "{chain-long: 61,"),
        ("Turn by hand.", "Turn it by hand."),
        ("then: {free: both, stiff: guide-only}, else: both", "then: {free: both, stiff: guide-only}, else: chain"),
        ("early: {share: 3", "early: {share: 4"),
    ):
        assert NOISE.count(old) == 1
        assert digest(start(NOISE.replace(old, new), "rattle").case) != now, new


def test_an_answer_that_no_longer_fits_is_shown_and_stays_in_the_job(address: Address) -> None:
    bench = Bench(address, start(NOISE, "rattle"))
    bench.type("ok", "120 kPa", "P0016", "guide=broken")
    bench.keeper.close()
    text = NOISE.replace(
        "{low: Below the lower mark, ok: Between the marks}", "{low: Below the lower mark, fine: Between}"
    )
    for old in ("{low: 5, ok: 95}", "oil-low: {low: 90, ok: 10}", "{low: top-up, ok: gauge}", "{low: look, ok: look}"):
        text = text.replace(old, old.replace("ok:", "fine:"))
    changed = library(text)
    job = stored(address, bench.job().number)
    found = again(job, changed)
    assert [misfit.entry.subject for misfit in found.misfits] == ["oil-level"]
    assert found.misfits[0].why == "'ok' is no answer here. Give a number from 1 to 2, or one of: low, fine."
    assert list(found.session.known.findings) == ["pressure", "stored-codes", "guide"]
    later = Bench(address, found.session, job)
    later.type("fine")
    job = stored(address, job.number)
    assert [entry.kind for entry in job.entries[-2:]] == ["library", "answered"]
    assert answers(job.replies)[0] == ("oil-level", "ok")
    later.keeper.close()


def test_an_engine_that_lost_a_feature_still_takes_the_rest(address: Address) -> None:
    bench = Bench(address, start(NOISE, "rattle", chain="roller"))
    bench.type("ok")
    bench.keeper.close()
    found = again(stored(address, "1"), library(NOISE.replace("roller", "bush")))
    assert [misfit.why for misfit in found.misfits] == ["No build of 'bench-v6' has chain=roller with the rest."]
    assert len(found.session.known.builds) == 2
    assert list(found.session.known.findings) == ["oil-level"]


def test_a_library_without_an_engine_keeps_jobs_too(address: Address) -> None:
    bench = Bench(address, start(YES_NO, "lamp"))
    bench.type("yes")
    job = stored(address, "1")
    assert job.engine == ""
    assert job.outcome == ("lamp/bulb", ("bulb",))
    assert again(job, library(YES_NO)).session == bench.session
    bench.keeper.close()


# Waiting and what was authorised


def test_a_soak_is_ready_by_the_clock(address: Address) -> None:
    text = NOISE.replace("    ask: Oil pressure at hot idle?\n", "    ask: Oil pressure at hot idle?\n    wait: 8\n")
    bench = Bench(address, start(text, "rattle"))
    bench.type("ok")
    job = bench.job()
    begun = datetime.fromisoformat(job.changed).astimezone()
    ready = waits.ready_at(bench.session, job)
    assert ready
    assert abs(ready - begun - timedelta(hours=8)) < timedelta(seconds=1)
    clock = f"{ready.astimezone():%H:%M}"
    days = {0: "today", 1: "tomorrow"}[(ready.astimezone().date() - begun.date()).days]
    assert waits.told(bench.session, job, begun) == f"Ready no earlier than {clock} {days} (8 h of waiting)."
    after = waits.told(bench.session, job, datetime.now(UTC) + timedelta(days=3))
    assert after.startswith(f"Ready since {clock} on ")
    bench.type("120 kPa")
    assert waits.told(bench.session, bench.job(), begun) == ""
    bench.keeper.close()


def test_a_soak_over_the_night_when_the_clocks_change_is_ready_by_the_new_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """In spring, from 2 to 3 o'clock: of eight hours from eleven at night on, the clock shows nine go by."""
    text = NOISE.replace("    ask: Oil pressure at hot idle?\n", "    ask: Oil pressure at hot idle?\n    wait: 8\n")
    session = reply(start(text, "rattle"), "ok")
    evening = datetime(2026, 3, 28, 22, 0, tzinfo=UTC)
    answered = signed(Entry("answered", "oil-level", "ok", phase="walk"), evening.isoformat(), "")
    job = Job("7", "rattle", "v8", (answered,))
    with monkeypatch.context() as patch:
        patch.setenv("TZ", "CET-1CEST,M3.5.0,M10.5.0/3")
        time.tzset()
        said = [waits.told(session, job, evening + timedelta(hours=hours)) for hours in (0, 9, 72)]
    time.tzset()
    assert said == [
        "Ready no earlier than 08:00 tomorrow (8 h of waiting).",
        "Ready since 08:00 today (8 h of waiting).",
        "Ready since 08:00 on 2026-03-29 (8 h of waiting).",
    ]


def test_the_first_stage_that_passes_what_was_authorised_is_named() -> None:
    def up_to(**amounts: float) -> dict[str, Authorised]:
        return {stage.replace("_", "-"): Authorised(stage, amount, "", "") for stage, amount in amounts.items()}  # type: ignore[arg-type]

    expected = {"diagnosis": 90.0, "strip-down": 210.0, "repair": 700.0}
    assert expected_over_authorised({}, expected) is None  # type: ignore[arg-type]
    assert expected_over_authorised(up_to(diagnosis=95), expected) is None  # type: ignore[arg-type]
    assert expected_over_authorised(up_to(diagnosis=80), expected) == "diagnosis"  # type: ignore[arg-type]
    assert expected_over_authorised(up_to(diagnosis=80, repair=800), expected) is None  # type: ignore[arg-type]
    assert expected_over_authorised(up_to(diagnosis=95, strip_down=200), expected) == "strip-down"  # type: ignore[arg-type]
    assert expected_over_authorised(up_to(repair=650), expected) == "repair"  # type: ignore[arg-type]


def test_a_walk_is_told_once_when_what_is_expected_passes_what_was_authorised(
    address: Address, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(allowance, "_PATIENCE", 60.0)
    bench = Bench(address, start(NOISE, "rattle"))
    bench.type("ok")
    store = opening(address)
    assert isinstance(store, Store)
    store.append("1", 0, [signed(Entry("authorised", "repair", "20.0", note="the owner"), now(), "")])
    store.close()
    bench.type("120 kPa", "P0016")
    assert bench.said[1].startswith("Expected for the diagnosis: about ")
    assert bench.said[1].endswith("EUR, tax included. Authorised: 20.00. Ask the customer before you go on.")
    assert bench.said[2] == ""
    bench.keeper.close()
