"""The work of the demo library in an order that can be done, for every fault, engine and build.

What must stand before what is written below from the trade's rules (common practice, no source), not from the library's
own `follows`: locks before anything is slackened, the chain on before its tensioner is released, the marks seen after
all that moved them, and no engine started while something on it stands open.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import pytest

from diagtree.graph.labour import Labour, closure, labour
from diagtree.graph.serving import builds
from diagtree.graph.work import plan
from diagtree.model.engine import Engine, Step
from diagtree.model.library import Library
from diagtree.source.reader import read

TREES = Path(__file__).resolve().parents[1] / "trees"

# The engine runs in these, in this order as far as they are in a plan.
RUNNING = ("change-oil-and-filter", "second-oil-change", "find-oil-loss", "relearn-offsets")
RUNS = re.compile(r"hot idle|[Rr]un the engine|Start without|long idle")

# Done between taking the primary chain off and laying it on again, wherever both are in a plan.
CHAIN_OFF = (
    "renew-guides", "renew-crank-sprocket", "renew-crank-key", "phasers-off", "renew-phasers", "renew-secondary-chains",
    "reset-timing", "cylinder-head-off", "overhaul-cylinder-head", "renew-head-gasket", "clear-tensioner-feed",
    "renew-oil-pump-chain", "renew-primary-chain",
)  # fmt: skip
# The pump that the timing chain drives: on the I4 the same id is a pump on the belt.
PUMP_INSIDE = "renew-water-pump"
# These slacken the chain with nothing before them that has locked the shafts, or may have to.
SLACKENING = (
    "primary-chain-off",
    "clear-tensioner-feed",
    "renew-secondary-tensioner",
    "renew-primary-tensioner",
    PUMP_INSIDE,
)
# What is renewed or moved here, the control unit has learned another value of.
LEARNED = {"renew-primary-chain", "renew-phasers", "reset-timing", "renew-head-gasket", "replace-engine", PUMP_INSIDE}

# (earlier, later), wherever both are in a plan.
BEFORE = (
    ("phasers-off", "renew-phasers"),
    ("phasers-off", "cylinder-head-off"),
    ("cylinder-head-off", "overhaul-cylinder-head"),
    ("cylinder-head-off", "renew-head-gasket"),
    ("overhaul-cylinder-head", "reset-timing"),
    ("renew-head-gasket", "reset-timing"),
    ("overhaul-cylinder-head", "renew-guides"),
    ("reset-timing", "renew-crank-sprocket"),
    ("renew-crank-key", "renew-crank-sprocket"),
    ("renew-oil-pump-chain", "renew-crank-sprocket"),
    ("reset-timing", "renew-secondary-chains"),
    ("renew-phasers", "renew-secondary-chains"),
    ("renew-primary-chain", "primary-chain-on"),
    ("big-end-cap-off", "primary-chain-off"),  # it turns the crankshaft
    ("check-timing", "renew-timing-cover"),
    ("check-timing", "clean-sump-and-pickup"),  # what falls while the drive is open falls into the sump
    ("fuel-line-open", "renew-injector"),
    ("battery-off", "fuel-line-open"),
)


@dataclass(frozen=True, slots=True)
class Job:
    """A plan, and what asked for it."""

    name: str
    work: Labour
    order: tuple[str, ...]

    def faults(self) -> Iterator[str]:
        """What is wrong with the order, in words."""
        at = {step: place for place, step in enumerate(self.order)}
        for one, other in pairs(self.work):
            if one in at and other in at and at[one] > at[other]:
                yield f"{self.name}: '{one}' stands after '{other}'"


def inside(work: Labour) -> tuple[str, ...]:
    """What is done while the chain is off, in this build."""
    pump = "timing-cover-off" in work.engine.work[PUMP_INSIDE].after
    return (*CHAIN_OFF, PUMP_INSIDE) if pump else CHAIN_OFF


def pairs(work: Labour) -> Iterator[tuple[str, str]]:
    """(earlier, later) of every law, as this build has them."""
    yield from BEFORE
    for step in inside(work):
        yield from (("primary-chain-off", step), (step, "primary-chain-on"), (step, "renew-primary-tensioner"))
        yield step, "check-timing"
    yield from (("primary-chain-off", "primary-chain-on"), ("primary-chain-on", "renew-primary-tensioner"))
    yield "renew-primary-tensioner", "check-timing"
    for place, running in enumerate(RUNNING):
        yield from ((step, running) for step in work.steps if step not in RUNNING)
        yield from ((earlier, running) for earlier in RUNNING[:place])


@lru_cache(maxsize=1)
def demo() -> Library:
    """The shipped library."""
    found = read(str(TREES)).library
    assert found is not None
    return found


def labours(engines: Iterable[Engine] = ()) -> Iterator[Labour]:
    for engine in engines or demo().engines.values():
        for build in builds(engine):
            yield labour(engine, build)


def jobs(work: Labour) -> Iterator[Job]:
    """Each fault's repair alone, with all that checks can have opened before it, and with all that is offered then."""
    library = demo()
    opened = {
        step for check in library.checks.values() if check.when.admits(work.build.features) for step in check.behind
    }
    for fault in library.faults.values():
        if fault.when.admits(work.build.features):
            alone = closure(work, fault.repair)
            offers = {step.id for step in work.steps.values() if step.offer and alone.issuperset(step.after)}
            for also, wanted in (("", set[str]()), (" after every check", opened), (" with every offer", offers)):
                steps = closure(work, {*fault.repair, *wanted})
                name = f"{work.engine.id} {work.build.id} {fault.id}{also}"
                yield Job(name, work, plan(work.engine, steps))


@pytest.mark.parametrize("work", list(labours()), ids=lambda work: work.build.id)
def test_every_repair_is_printed_in_an_order_that_can_be_done(work: Labour) -> None:
    assert [fault for job in jobs(work) for fault in job.faults()] == []


def test_an_engine_without_its_follows_would_be_seen() -> None:
    """The laws can be broken: the same work, ordered by access alone and read from its end, breaks them."""
    engine = demo().engines["brennick-v8"]
    turned = {name: replace(step, follows=()) for name, step in reversed(list(engine.work.items()))}
    found = [fault for work in labours([replace(engine, work=turned)]) for job in jobs(work) for fault in job.faults()]
    assert any("'primary-chain-on' stands after 'renew-primary-tensioner'" in fault for fault in found)
    assert any("stands after 'change-oil-and-filter'" in fault for fault in found)


def steps() -> Iterator[tuple[Engine, Step]]:
    for engine in demo().engines.values():
        for step in engine.work.values():
            yield engine, step


def test_the_laws_name_what_the_library_has() -> None:
    """A misspelt id would hold nothing."""
    known = {step.id for _, step in steps()}
    named = {one for pair in BEFORE for one in pair} | {*CHAIN_OFF, *RUNNING, *SLACKENING, *LEARNED}
    assert named <= known


def test_what_runs_the_engine_is_in_the_table() -> None:
    """By its words: a new step that runs the engine has to stand among the last."""
    running = {step.id for _, step in steps() if any(RUNS.search(said) for said in step.do)}
    assert running == set(RUNNING)


def test_shafts_are_locked_before_anything_is_slackened() -> None:
    """Marks first, then locks, then the tensioner: in every step that may be the first at the drive."""
    for engine, step in steps():
        if step.id not in SLACKENING or (step.id == PUMP_INSIDE and "timing-cover-off" not in step.after):
            continue
        said = " ".join(step.do).lower()
        marks, locks = said.index("mark"), said.index("lock")
        out = re.search(r"\bpin\b|\bpinned\b|tensioners? out|take the", said)
        assert out is not None, (engine.id, step.id)
        assert marks < locks < out.start(), (engine.id, step.id)
        assert any("lock" in tool for tool in step.tools), (engine.id, step.id)


def test_who_moves_the_chain_sees_the_marks() -> None:
    """With the cover off: `check-timing`. The I4's tensioner alone comes out through its port, and says so itself."""
    for work in labours():
        moving = {*inside(work), "primary-chain-off", "primary-chain-on", "renew-primary-tensioner"}
        for job in jobs(work):
            if "timing-cover-off" in job.order and moving & set(job.order):
                assert "check-timing" in job.order, job.name
            if "primary-chain-off" in job.order:
                assert {"primary-chain-on", "renew-primary-tensioner"} <= set(job.order), job.name
    alone = demo().engines["brennick-i4"].work["renew-primary-tensioner"]
    assert "two full turns by hand" in alone.do[-1]
    assert "do not start" in alone.do[-1]


def test_the_first_run_is_on_the_sheet_where_the_oil_was_out() -> None:
    """Fresh oil does not go on an old filter, and oil pressure is there before the engine starts."""
    for work in labours():
        for job in jobs(work):
            if "timing-cover-off" in job.order or "replace-engine" in job.order:
                assert "change-oil-and-filter" in job.order, job.name
    for engine in demo().engines.values():
        said = engine.work["change-oil-and-filter"].do
        cranked = next(place for place, one in enumerate(said) if "fuel shut off" in one)
        assert cranked < next(place for place, one in enumerate(said) if one.startswith("Start"))


def test_learned_values_are_reset_after_what_moves_a_camshaft() -> None:
    for work in labours():
        learned = LEARNED if PUMP_INSIDE in inside(work) else LEARNED - {PUMP_INSIDE}
        for fault in demo().faults.values():
            found = closure(work, fault.repair) if fault.when.admits(work.build.features) else frozenset()
            assert "relearn-offsets" in found or not learned & found, (work.build.id, fault.id)


def test_the_chain_is_off_for_what_stands_behind_it() -> None:
    """Guides, sprocket, key, phasers and head cannot be reached under a chain that is on."""
    behind = {*CHAIN_OFF} - {"clear-tensioner-feed"}
    for work in labours():
        for step in behind & work.steps.keys():
            assert "primary-chain-off" in closure(work, [step]), (work.build.id, step)


def test_who_tightens_by_angle_has_an_angle_gauge() -> None:
    for engine, step in steps():
        by_angle = any("deg" in str(turn) for one in step.torque for turn in one.steps)
        assert not by_angle or "angle gauge" in step.tools, (engine.id, step.id)
