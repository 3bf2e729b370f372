"""Every path of every demo tree shows the cautions of what is done on it.

What needs which caution stands in the tables below, by what a step or check does. They were written from the trade's
rules (common practice, no source), not from the cautions that the library names.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import pytest

from diagtree.graph.labour import Labour, closure, labour
from diagtree.graph.serving import builds, served, suited
from diagtree.model.check import Check
from diagtree.model.engine import Build, Engine, Step
from diagtree.model.library import Library
from diagtree.model.tree import Onward, Outcome, Question, Tree, targets
from diagtree.source.reader import read

TREES = Path(__file__).resolve().parents[1] / "trees"

# What turns a shaft, moves the chain or loosens what holds it, with valves and pistons in reach of each other.
TURNS = {"interference", "hand-turning"}
TURNING_STEPS = {
    "balancer-off", "timing-cover-off", "tensioner-port-open", "primary-chain-off", "primary-chain-on", "phasers-off",
    "renew-primary-tensioner", "renew-secondary-tensioner", "clear-tensioner-feed", "check-timing", "cylinder-head-off",
    "renew-head-gasket", "reset-timing", "renew-crank-key", "renew-cam-ring", "big-end-cap-off",
}  # fmt: skip
TURNING_CHECKS = {
    "tensioner-extension", "tensioner-sink", "phaser-play", "secondary-slack", "hand-turn", "marks-position",
    "leak-down", "cylinder-bubbles", "guide-break", "tensioner-state", "chain-elongation", "endoscope-drive",
    "piston-crowns", "cam-marks", "sprocket-key", "cam-end-look", "crank-ring-look",
}  # fmt: skip
# The engine runs for these.
RUNNING_CHECKS = {
    "rattle-length", "trial-oil", "listen-cold", "listen-hot", "belt-off-run", "oil-pressure-hot-idle",
    "crankcase-pressure", "cam-crank-trace", "signal-shape", "phaser-command",
}  # fmt: skip
ROAD_CHECKS = {"warm-up"}

STEPS: Mapping[str, set[str]] = {
    "undertray-off": {"raised-vehicle"},
    "battery-off": {"battery-off", "high-voltage"},
    "fuel-line-open": {"fuel-spray"},
    "oil-drained": {"hot-engine", "waste"},
    "filter-off": {"hot-engine", "waste"},
    "change-oil-and-filter": {"hot-engine", "exhaust-gas", "waste"},
    "second-oil-change": {"raised-vehicle", "hot-engine", "exhaust-gas", "waste"},
    "oil-gauge-fitted": {"hot-engine"},
    "find-oil-loss": {"hot-engine", "moving-parts", "exhaust-gas"},
    "coolant-drained": {"coolant-pressure", "waste"},
    "belt-off": {"hot-engine", "moving-parts", "spring-load", "high-voltage"},
    "renew-accessory-tensioner": {"spring-load"},
    "secure-heat-shield": {"hot-engine"},
    "oil-cooler-off": {"hot-engine", "coolant-pressure", "waste"},
    "renew-oil-cooler": {"waste"},
    "renew-injector": {"fuel-spray", "fuel-in-oil"},
    "renew-breather": {"hot-engine"},
    "engine-supported": {"engine-mount", "high-voltage"},
    "gearbox-off": {"raised-vehicle", "heavy-part", "engine-mount", "hand-turning"},
    "transfer-case-off": {"raised-vehicle", "heavy-part", "waste"},
    "flexplate-off": {"hand-turning"},
    "front-end-off": {"airbag"},
    "engine-lifted": {"airbag", "engine-mount", "heavy-part", "fuel-spray", "hand-turning"},
    "engine-pulled-forwards": {"engine-mount", "heavy-part", "fuel-spray", "hand-turning"},
    "engine-out": {"airbag", "engine-mount", "heavy-part", "fuel-spray"},
    "rocker-cover-off": {"hot-engine"},
    "timing-cover-off": {"sealant-curing"},
    "tensioner-port-open": {"hot-engine", "spring-load"},
    "spark-plugs-out": {"compressed-air"},
    "primary-chain-off": {"spring-load", "released-ratchet"},
    "primary-chain-on": {"spring-load"},
    "renew-primary-tensioner": {"spring-load", "released-ratchet"},
    "renew-secondary-chains": {"interference", "spring-load"},
    "renew-secondary-tensioner": {"spring-load"},
    "phasers-off": {"spring-load"},
    "clear-tensioner-feed": {"compressed-air", "spring-load", "released-ratchet"},
    "sump-off": {"engine-mount", "raised-vehicle", "sealant-curing", "waste"},
    "clean-sump-and-pickup": {"no-flushing", "waste"},
    "big-end-cap-off": {"hand-turning"},
    "cylinder-head-off": {"interference", "heavy-part", "coolant-pressure"},
    "renew-head-gasket": {"coolant-pressure"},
    "overhaul-cylinder-head": {"spring-load"},
    "replace-engine": {"engine-mount", "heavy-part", "waste"},
}
# The pump that the timing chain drives: only builds whose pump stands inside it.
PUMP_INSIDE = {"interference", "hand-turning", "spring-load", "coolant-pressure"}

CHECKS: Mapping[str, set[str]] = {
    "oil-level": {"hot-engine"},
    "oil-look": {"hot-engine", "waste", "fuel-in-oil"},
    "oil-cap-look": {"hot-engine"},
    "hot-plate": {"fuel-in-oil", "hot-engine"},
    "oil-laboratory": {"waste"},
    "filter-cut": {"hot-engine", "waste"},
    "pickup-view": {"hot-engine", "waste", "raised-vehicle"},
    "pieces-together": {"waste"},
    "plastic-look": {"waste"},
    "bearing-shells": {"interference", "hand-turning", "engine-mount"},
    "flexplate-look": {"hand-turning", "raised-vehicle"},
    "belt-off-run": {"belt-off-running", "spring-load", "hot-engine"},
    "leak-down": {"compressed-air", "spring-load"},
    "cylinder-bubbles": {"compressed-air", "coolant-pressure"},
    "cooler-test": {"coolant-pressure", "compressed-air", "waste"},
    "coolant-level": {"coolant-pressure"},
    "coolant-pressure-test": {"coolant-pressure"},
    "pump-drain-bore": {"raised-vehicle", "hot-engine"},
    "fuel-pressure-hold": {"fuel-spray", "battery-off"},
    "hand-turn": {"no-cranking"},
    "piston-crowns": {"no-cranking", "battery-off"},
    "tensioner-state": {"spring-load", "released-ratchet"},
    "tensioner-sink": {"spring-load"},
    "warm-up": {"hot-engine", "exhaust-gas"},
}

# What a step's or check's own words say of the danger: nobody has to remember to add a new one to the tables.
WORDS: tuple[tuple[str, str], ...] = (
    (r"two full turns|[Tt]urn(ing)? (slowly |the engine |the crankshaft )?by hand", "hand-turning"),
    (r"[Pp]in (the|the old|its) tensioner|[Rr]elax the tensioner", "spring-load"),
    (r"compressed air|[Bb]low (out|the bore|through)", "compressed-air"),
    (r"hoist|transmission jack", "heavy-part"),
    (r"hot idle|idle\b.*\bgauge|[Rr]un the engine", "hot-engine"),
    (r"\bairbag|[Cc]rash sensor|[Ss]eat-belt tensioner", "airbag"),
    (r"mount bolts", "engine-mount"),
    (r"[Ll]ay the sealant|[Ss]ealant in the", "sealant-curing"),
    (r"cooling system tester", "coolant-pressure"),
)

# Answers that speak of a chain off its teeth, or of a drive in pieces.
JUMPED: Mapping[str, set[str]] = {
    "cam-offsets": {"all-together", "one-bank"},
    "cam-crank-trace": {"shifted"},
    "endoscope-drive": {"broken"},
    "filter-cut": {"plastic"},
    "piston-crowns": {"marked"},
    "marks-position": {"off"},
}
NO_PRESSURE: Mapping[str, set[str]] = {"oil-pressure-hot-idle": {"low"}}
MILKY: Mapping[str, set[str]] = {"oil-look": {"milky"}}
# Answers that settle such a suspicion: the marks stand right, the ring alone had slipped, the offsets came through a
# broken wire and are read again, it is not coolant.
CLEARED: Mapping[str, Mapping[str, set[str]]] = {
    "jumped": {
        "marks-position": {"agree"},
        "cam-marks": {"agree"},
        "crank-ring-look": {"off"},
        "sensor-look": {"faulty"},
    },
    "milky": {"oil-laboratory": {"fuel", "old", "clean"}},
}
COOLANT_FAULTS = {"coolant-pump-leak", "coolant-pump-drive", "oil-cooler-leak", "head-gasket-leak"}

Known = Mapping[str, str]
Made = tuple[Library, Tree, Engine, Build]


@dataclass(frozen=True)
class State:
    """A place on a path: what is known that can still matter, what is off, and the warnings shown so far."""

    tree: str
    node: str
    known: frozenset[tuple[str, str]]
    done: frozenset[str]
    shown: frozenset[str]  # of those that a whole path owes
    suspected: frozenset[str]  # 'jumped', 'no pressure', 'milky'


@lru_cache(maxsize=1)
def demo() -> Library:
    """The shipped library."""
    found = read(str(TREES)).library
    assert found is not None
    return found


def made() -> Iterator[Made]:
    """Each tree on each engine in each build that it serves, the library as it holds for that engine."""
    library = demo()
    for tree in library.trees.values():
        for engine in served(library, tree):
            for build in builds(engine):
                yield suited(library, engine), tree, engine, build


def words_of(text: Iterable[str]) -> set[str]:
    """The cautions that words call for."""
    said = " ".join(text)
    return {caution for pattern, caution in WORDS if re.search(pattern, said)}


def step_needs(step: Step, build: Build) -> set[str]:
    """What a step must itself name."""
    needed = set(STEPS.get(step.id, ())) | (TURNS if step.id in TURNING_STEPS else set())
    if step.id == "renew-water-pump" and build.features.get("water-pump") == "internal":
        needed |= PUMP_INSIDE
    return needed


def check_needs(check: Check) -> set[str]:
    """What must stand at a check: named by it, by what it opens, or by its tree."""
    needed = set(CHECKS.get(check.id, ())) | (TURNS if check.id in TURNING_CHECKS else set())
    if check.id in RUNNING_CHECKS:
        needed |= {"moving-parts", "exhaust-gas"}
    return needed | words_of((check.ask, check.how, *check.tools))


def cautions_of(work: Labour, steps: Iterable[str]) -> set[str]:
    """What steps name together."""
    return {caution for step in steps for caution in work.steps[step].cautions}


def below(library: Library, tree: Tree) -> dict[str, frozenset[str]]:
    """Node -> the checks whose answers can still decide the way from it, in the trees gone on to as well."""
    found: dict[str, frozenset[str]] = {}

    def gather(name: str) -> frozenset[str]:
        if name not in found:
            node = tree.nodes[name]
            names: set[str] = set()
            if isinstance(node, Question):
                names |= {node.check, *library.checks[node.check].never_after}
            if isinstance(node, Onward):
                further = library.trees[node.tree]
                names |= below(library, further)[further.start]
            for target in targets(node):
                names |= gather(target)
            found[name] = frozenset(names)
        return found[name]

    for name in tree.nodes:
        gather(name)
    return found


UNKNOWN = "?"  # asked, and the answer could not be had: it is not asked again where there is a way on
OWED = frozenset({"no-cranking", "no-running", "coolant-in-oil"})


def faults_on(library: Library, tree: Tree, engine: Engine, build: Build) -> Iterator[str]:
    """Walk every path; yield each lack of a caution, and each start of an engine that must stand still."""
    work = labour(engine, build)
    matters = {name: below(library, each) for name, each in library.trees.items()}
    first = State(tree.id, tree.start, frozenset(), frozenset(), frozenset(tree.cautions) & OWED, frozenset())
    seen, waiting = {first}, [first]
    while waiting:
        here = waiting.pop()
        node = library.trees[here.tree].nodes[here.node]
        if isinstance(node, Question):
            lacks, following = asked(library, work, here, node)
        elif isinstance(node, Onward):
            lacks, following = [], [onward(library, here, node)]
        else:
            lacks, following = ended(library, work, here, node), []
        yield from (f"{here.tree}/{here.node}: {lack}" for lack in lacks)
        for state in following:
            kept = frozenset(pair for pair in state.known if pair[0] in matters[state.tree][state.node])
            slim = State(state.tree, state.node, kept, state.done, state.shown, state.suspected)
            if slim not in seen:
                seen.add(slim)
                waiting.append(slim)


def onward(library: Library, here: State, node: Onward) -> State:
    further = library.trees[node.tree]
    shown = here.shown | (frozenset(further.cautions) & OWED)
    return State(further.id, further.start, here.known, here.done, shown, here.suspected)


def asked(library: Library, work: Labour, here: State, node: Question) -> tuple[list[str], list[State]]:
    """What a question lacks, and the states after each of its answers."""
    check = library.checks[node.check]
    known = dict(here.known)
    if known.get(node.check, UNKNOWN) != UNKNOWN:
        return [], [State(here.tree, node.then[known[node.check]], here.known, here.done, here.shown, here.suspected)]
    forbidden = any(known.get(name) in answers for name, answers in check.never_after.items())
    unknown = here.known | {(check.id, UNKNOWN)}
    untold = [State(here.tree, node.otherwise, unknown, here.done, here.shown, here.suspected)]
    passed = bool(node.otherwise) and known.get(check.id) == UNKNOWN
    if forbidden or passed or not check.when.admits(work.build.features):
        return [], untold if node.otherwise else []
    opened = closure(work, check.behind)
    shown = set(library.trees[here.tree].cautions) | set(check.cautions) | cautions_of(work, opened)
    lacks = [f"'{check.id}' lacks {sorted(lacking)}" for lacking in [check_needs(check) - shown] if lacking]
    lacks += step_lacks(work, opened - here.done)
    if check.id in RUNNING_CHECKS | ROAD_CHECKS:
        lacks += [f"'{check.id}' runs an engine with: {why}" for why in sorted(here.suspected)]
    following = [
        State(
            here.tree,
            end,
            here.known - {(check.id, UNKNOWN)} | {(check.id, answer)},
            here.done | opened,
            here.shown | (frozenset(shown) & OWED),
            suspicion(here.suspected, check.id, answer),
        )
        for answer, end in node.then.items()
        if any(one.id == answer for one in check.answers)
    ]
    return lacks, following + (untold if node.otherwise else [])


def suspicion(before: frozenset[str], check: str, answer: str) -> frozenset[str]:
    """What people suspect once they have this answer too."""
    tables = {"jumped": JUMPED, "no pressure": NO_PRESSURE, "milky": MILKY}
    raised = {why for why, table in tables.items() if answer in table.get(check, ())}
    settled = {why for why, table in CLEARED.items() if answer in table.get(check, ())}
    return (before | raised) - settled


def step_lacks(work: Labour, steps: Iterable[str]) -> list[str]:
    """What steps do not name themselves, and what their words ask for that nothing done with them names."""
    found = []
    for name in sorted(steps):
        step = work.steps[name]
        lacking = step_needs(step, work.build) - set(step.cautions)
        spoken = words_of((step.title, *step.do, *step.tools)) - cautions_of(work, closure(work, (name,)))
        if lacking | spoken:
            found.append(f"step '{name}' lacks {sorted(lacking | spoken)}")
    return found


def ended(library: Library, work: Labour, here: State, node: Outcome) -> list[str]:
    """What an end lacks: in its work, and what the path owes by now."""
    faults = [fault for name in node.faults if (fault := library.faults[name]).when.admits(work.build.features)]
    wanted = closure(work, [step for fault in faults for step in fault.repair])
    found = step_lacks(work, wanted)
    shown = here.shown | set(node.cautions) | {caution for fault in faults for caution in fault.cautions}
    if "jumped" in here.suspected and "no-cranking" not in shown and wanted:
        found.append("a chain may have jumped and nobody said not to crank")
    if "no pressure" in here.suspected and not {"no-running", "no-cranking"} & shown:
        found.append("no oil pressure and nobody said not to run it")
    if {fault.id for fault in faults} & COOLANT_FAULTS and "coolant-in-oil" not in shown:
        found.append("coolant in the oil and nobody said not to start it")
    for needed, steps in NEEDED_AT_ENDS.items():
        if wanted & steps and needed not in cautions_of(work, wanted):
            found.append(f"the work lacks '{needed}'")
    return found


# What the whole work of an end must show: fuel and battery before covers, mounts before the engine moves.
NEEDED_AT_ENDS: Mapping[str, set[str]] = {
    "battery-off": {"timing-cover-off", "rocker-cover-off", "gearbox-off", "replace-engine", "spark-plugs-out"},
    "fuel-spray": {"timing-cover-off", "rocker-cover-off", "replace-engine", "renew-injector"},
    "high-voltage": {"timing-cover-off", "belt-off", "engine-supported", "replace-engine"},
    "engine-mount": {"sump-off", "gearbox-off", "replace-engine", "engine-lifted"},
    "interference": {"timing-cover-off", "tensioner-port-open", "cylinder-head-off"},
    "hand-turning": {"timing-cover-off", "tensioner-port-open", "gearbox-off"},
    "sealant-curing": {"timing-cover-off", "sump-off"},
    "waste": {"oil-drained", "filter-off", "coolant-drained"},
    "hot-engine": {"oil-drained", "filter-off"},
    "airbag": {"engine-lifted", "front-end-off", "replace-engine"},
}


@pytest.mark.parametrize("at", list(made()), ids=lambda at: f"{at[1].id}-{at[2].id}-{at[3].id}")
def test_every_path_shows_what_can_hurt_on_it(at: Made) -> None:
    """No caution is lacking on any path, and no engine is run that must stand still."""
    assert sorted(set(faults_on(*at))) == []


def test_the_tables_name_what_the_library_has() -> None:
    """A misspelt id would demand nothing."""
    library = demo()
    steps = {step for engine in library.engines.values() for step in engine.work}
    assert STEPS.keys() | TURNING_STEPS <= steps
    assert CHECKS.keys() | TURNING_CHECKS | RUNNING_CHECKS | ROAD_CHECKS <= library.checks.keys()
    named = {caution for table in (STEPS, CHECKS) for needed in table.values() for caution in needed}
    assert named | {caution for _, caution in WORDS} | NEEDED_AT_ENDS.keys() | OWED | TURNS <= library.cautions.keys()
    for table in (JUMPED, NO_PRESSURE, MILKY, *CLEARED.values()):
        for check, answers in table.items():
            assert answers <= {answer.id for answer in library.checks[check].answers}


def test_every_check_that_runs_the_engine_is_in_the_table() -> None:
    """By its words: a new check that says start, idle or run is either listed or says that the engine is off."""
    running = re.compile(r"hot idle|cold start|[Ss]tart once|while it runs|[Rr]un (to|under)")
    said = {
        check.id
        for check in demo().checks.values()
        if running.search(f"{check.ask} {check.how}") and not re.search(r"engine off|Ignition on", check.how)
    }
    assert said <= RUNNING_CHECKS | ROAD_CHECKS | {"noise-compare"}


@pytest.mark.parametrize(
    ("check", "caution"),
    [("hot-plate", "fuel-in-oil"), ("oil-pressure-hot-idle", "exhaust-gas"), ("cylinder-bubbles", "coolant-pressure")],
)
def test_a_caution_taken_out_is_missed(check: str, caution: str) -> None:
    """The walk over the paths can fail: a check stripped of a caution is found."""
    library, tree, engine, build = next(at for at in made() if check in at[1].checks)
    bare = replace(library.checks[check], cautions=())
    stripped = replace(library, checks={**library.checks, check: bare})
    assert any(f"'{check}' lacks" in lack and caution in lack for lack in faults_on(stripped, tree, engine, build))


def test_an_engine_that_is_started_after_a_jump_is_seen() -> None:
    """A rattle with all camshafts off alike must not lead to a cold start."""
    library, tree, engine, build = next(at for at in made() if at[1].id == "rattle-on-cold-start")
    soak = next(node.id for node in tree.questions if node.check == "rattle-length")
    offsets = next(node for node in tree.questions if node.check == "cam-offsets")
    led = replace(offsets, then={**offsets.then, "all-together": soak})
    wrong = replace(tree, nodes={**tree.nodes, offsets.id: led})
    blind = replace(library.checks["rattle-length"], never_after={})
    trees, checks = {**library.trees, tree.id: wrong}, {**library.checks, "rattle-length": blind}
    found = faults_on(replace(library, trees=trees, checks=checks), wrong, engine, build)
    assert any("'rattle-length' runs an engine with: jumped" in lack for lack in found)
