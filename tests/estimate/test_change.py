"""Two libraries in effect: every difference is held against the plain walks and sums of `tests.oracle`."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings

from diagtree.estimate.change import Change, change
from diagtree.estimate.figures import chances
from diagtree.estimate.meanings import CANNOT_TELL, inside, replies
from diagtree.estimate.moves import Moved, Pair, Refused, moves
from diagtree.estimate.passage import Ended, Shapes, Side, ground, search
from diagtree.graph.serving import served
from diagtree.measure.codes import matching_answer
from diagtree.model.check import Answer, Band, Check, Gauge
from diagtree.model.engine import ONLY_ENGINE
from diagtree.model.quantity import Condition, Hours
from diagtree.model.tree import Question, targets
from diagtree.source.reader import read
from tests.oracle import reading as plain
from tests.oracle.believing import bands as plain_bands
from tests.oracle.believing import belief
from tests.oracle.libraries import libraries, random_library
from tests.oracle.scoping import closure, hours, parts, parts_cost, repair_steps
from tests.oracle.walking import walk

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from diagtree.model.library import Library

FOREIGN = Path(__file__).parent.parent / "foreign"
NAMES = ("pump", "boiler", "small.yaml")
SEEDS = range(12)

Said = dict[str, "str | float"]


@dataclass(frozen=True)
class Both:
    """A library as the program reads it and as the plain reader does."""

    library: Library
    tables: plain.Library


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Both]:
    """The libraries of other trades and random ones, by name."""
    folder = tmp_path_factory.mktemp("drawn")
    found = {name: both(FOREIGN / name) for name in NAMES}
    for seed in SEEDS:
        path = folder / f"{seed}.yaml"
        path.write_text(random_library(seed), encoding="utf-8")
        found[f"seed-{seed}"] = both(path)
    return found


def both(path: Path) -> Both:
    found = read(str(path))
    assert not [problem for problem in found.problems if problem.severity == "error"]
    return Both(found.library, plain.read_library(path))


def library_of(folder: Path, text: str) -> Both:
    path = folder / f"{len(list(folder.iterdir()))}.yaml"
    path.write_text(text, encoding="utf-8")
    return both(path)


# Edits, made in both readings alike


def redirected(one: Both, tree: str, node: str, answer: str, target: str) -> Both:
    """One `then` leads elsewhere."""
    question = one.library.trees[tree].nodes[node]
    assert isinstance(question, Question)
    made = replace(question, then={**question.then, answer: target})
    tables = deepcopy(one.tables)
    tables.trees[tree]["nodes"][node]["then"][answer] = target
    return Both(with_node(one.library, tree, made), tables)


def without_else(one: Both, tree: str, node: str) -> Both:
    question = one.library.trees[tree].nodes[node]
    assert isinstance(question, Question)
    tables = deepcopy(one.tables)
    del tables.trees[tree]["nodes"][node]["else"]
    return Both(with_node(one.library, tree, replace(question, otherwise="")), tables)


def with_node(library: Library, tree: str, node: Question) -> Library:
    old = library.trees[tree]
    return replace(library, trees={**library.trees, tree: replace(old, nodes={**old.nodes, node.id: node})})


def drawn_redirections(one: Both, random: Random, many: int) -> Iterator[tuple[str, Both]]:
    """Some single edits of `then`, without making a ring: tree, the edited library."""
    for _ in range(many):
        tree = random.choice(list(one.library.trees.values()))
        question = random.choice(tree.questions)
        above = {name for name in tree.nodes if question.id in below(one.library, tree.id, name)}
        answer = random.choice(list(question.then))
        others = [name for name in tree.nodes if name not in above | {question.then[answer]}]
        if others:
            yield tree.id, redirected(one, tree.id, question.id, answer, random.choice(others))


def below(library: Library, tree: str, name: str) -> set[str]:
    found = {name}
    for end in targets(library.trees[tree].nodes[name]):
        found |= below(library, tree, end)
    return found


# The plain walks


def end_of(one: Both, engine: str, build: str, tree: str, said: Said) -> tuple[str, ...] | str | None:
    """Where a plain walk ends: sorted faults, None where it stands for want of `else`, or the check it asks."""
    table = one.tables.engines.get(engine)
    features = plain.builds(table)[build] if table and table.get("builds") else {}
    try:
        state = walk(one.tables, table, features, tree, said)
    except KeyError as error:
        if error.args != ("else",):
            raise
        return None
    if state.outcome is not None:
        return tuple(sorted(set(state.outcome)))
    if state.refused:
        return None
    return str(one.tables.trees[state.tree]["nodes"][state.path[-1]]["check"])


def brute(pair: tuple[Both, Both], engine: str, build: str, tree: str) -> dict[tuple[Any, Any], int]:
    """The pairs of ends that differ, None for a walk that stands, over every list of answers; the fewest for each."""
    found: dict[tuple[Any, Any], int] = {}
    waiting: list[Said] = [{}]
    while waiting:
        said = waiting.pop()
        ends = [end_of(one, engine, build, tree, said) for one in pair]
        asked = next((end for end in ends if isinstance(end, str)), None)
        if asked is not None:
            waiting.extend({**said, asked: reply} for reply in sayable(pair, engine, asked))
        elif ends[0] != ends[1]:
            found[ends[0], ends[1]] = min(len(said), found.get((ends[0], ends[1]), len(said)))
    return found


def sayable(pair: tuple[Both, Both], engine: str, check: str) -> list[str | float]:
    """Every answer, or a reading between each two limits of either library; and cannot tell."""
    tables = pair[0].tables
    if "reading" not in tables.checks[check]:
        return [*tables.checks[check]["answers"], CANNOT_TELL]
    made = [plain_bands(one.tables, one.tables.engines.get(engine, {}), check).values() for one in pair]
    limits = sorted({limit for bands in made for band in bands for limit in band if abs(limit) < float("inf")})
    inner = [(low + high) / 2 for low, high in pairwise(limits)]
    return [limits[0] - 1, *inner, limits[-1] + 1, CANNOT_TELL]


def said_by(one: Both, moved: Moved | Refused) -> Said:
    """A witness as the plain walk takes it: a reading as a number in the check's unit."""
    said: Said = {}
    for check, reply in moved.answers.items():
        named = reply.text == CANNOT_TELL or reply.text in one.tables.checks[check]["answers"]
        said[check] = reply.text if named else float(reply.text.split()[0])
    return said


def hold(before: Both, after: Both) -> Change:
    """A change whose witnesses are true and shortest, a build once for each pair of ends, and that misses nothing."""
    found = change(before.library, after.library)
    assert found.searched
    for one in found.moved:
        for build in one.where.builds:
            ends = [end_of(lib, one.where.engine, build, one.where.tree, said_by(lib, one)) for lib in (before, after)]
            assert ends == [one.before, one.after]
    for lost in found.refused:
        for build in lost.where.builds:
            ends = [
                end_of(lib, lost.where.engine, build, lost.where.tree, said_by(lib, lost)) for lib in (before, after)
            ]
            assert ends[0 if lost.when == "before" else 1] is None
            assert isinstance(ends[1 if lost.when == "before" else 0], tuple)
    for name, tree in before.library.trees.items():
        for engine in served(before.library, tree):
            for build in [made.id for made in engine.builds.values()] or ["only"]:
                assert told(found, name, engine.id, build) == seen((before, after), engine.id, build, name)
    return found


def told(found: Change, tree: str, engine: str, build: str) -> list[Any]:
    every: list[Moved | Refused] = [*found.moved, *found.refused]
    here = [one for one in every if one.where.tree == tree and one.where.engine == engine and build in one.where.builds]
    pairs = [(one.before, one.after, len(one.answers)) for one in here if isinstance(one, Moved)]
    return [sorted(pairs), {one.when for one in here if not isinstance(one, Moved)}]


def seen(pair: tuple[Both, Both], engine: str, build: str, tree: str) -> list[Any]:
    differing = brute(pair, engine, build, tree)
    pairs = [(*ends, fewest) for ends, fewest in differing.items() if None not in ends]
    return [sorted(pairs), {"before" if ends[0] is None else "after" for ends in differing if None in ends}]


# Laws


@pytest.mark.parametrize("name", [*NAMES, *(f"seed-{seed}" for seed in SEEDS)])
def test_a_library_against_itself_changes_nothing(drawn: dict[str, Both], name: str) -> None:
    found = change(drawn[name].library, drawn[name].library)
    assert not found.felt
    assert not found.edits
    assert found.searched


@settings(max_examples=25, deadline=None)
@given(text=libraries())
def test_any_library_against_a_second_reading_of_itself_changes_nothing(
    tmp_path_factory: pytest.TempPathFactory, text: str
) -> None:
    folder = tmp_path_factory.mktemp("again")
    found = change(library_of(folder, text).library, library_of(folder, text).library)
    assert not found.felt
    assert not found.edits
    assert found.searched


@pytest.mark.parametrize("name", [*NAMES, *(f"seed-{seed}" for seed in SEEDS)])
def test_the_joint_walk_of_a_library_with_itself_ends_in_one_outcome(drawn: dict[str, Both], name: str) -> None:
    """Without the short cut that takes equal shapes as equal."""
    library = drawn[name].library
    for tree in library.trees.values():
        on = ground(library, tree)
        for engine in served(library, tree):
            said = {c: replies([library.checks[c]] * 2, [engine, engine]) for c in on.matters[on.start]}
            for build in engine.builds.values():
                applying = frozenset(c for c in said if library.checks[c].when.admits(build.features))
                found = search([Side(on, applying), Side(on, applying)], said)
                assert found.whole
                assert found.met
                assert all(first == second for first, second in found.met)


@pytest.mark.parametrize("name", [*NAMES, *(f"seed-{seed}" for seed in SEEDS)])
def test_every_redirected_answer_is_found_and_every_witness_is_true(drawn: dict[str, Both], name: str) -> None:
    random = Random(name)
    found = [
        hold(drawn[name], edited) for _, edited in drawn_redirections(drawn[name], random, 3 if name in NAMES else 4)
    ]
    assert found


def test_redirections_do_move_outcomes(drawn: dict[str, Both]) -> None:
    """Else the search for them would prove nothing."""
    random = Random(1)
    edited = [(one, after) for one in drawn.values() for _, after in drawn_redirections(one, random, 2)]
    moved = [1 for before, after in edited if change(before.library, after.library).moved]
    assert len(moved) > len(edited) / 2


@pytest.mark.parametrize("seed", SEEDS)
def test_an_else_taken_away_or_put_in_is_found(drawn: dict[str, Both], seed: int) -> None:
    one = drawn[f"seed-{seed}"]
    library = one.library
    for question in library.trees["trial"].questions:
        if question.otherwise and not library.checks[question.check].when.terms:
            poorer = without_else(one, "trial", question.id)
            assert {(lost.when, lost.check) for lost in hold(one, poorer).refused} == {("after", question.check)}
            assert {(lost.when, lost.check) for lost in hold(poorer, one).refused} == {("before", question.check)}


@pytest.mark.parametrize("seed", SEEDS)
def test_moved_bands_are_found_with_a_reading_in_both(drawn: dict[str, Both], seed: int) -> None:
    one = drawn[f"seed-{seed}"]
    tables = deepcopy(one.tables)
    bands = {"under": Band(None, 2.15), "fair": Band(2.15, 3.05), "over": Band(3.05, None)}
    (engine,) = one.library.engines.values()
    limits = {"under": {"below": "2.15"}, "fair": {"from": "2.15", "below": "3.05"}, "over": {"from": "3.05"}}
    tables.engines[engine.id]["limits"] = {"gauge": limits}
    moved = replace(one.library, engines={engine.id: replace(engine, limits={"gauge": bands})})
    hold(one, Both(moved, tables))


def test_two_edits_at_once_and_a_joint_search_that_joins_again(drawn: dict[str, Both]) -> None:
    for seed in SEEDS:
        random = Random(seed)
        one = drawn[f"seed-{seed}"]
        for _, once in drawn_redirections(one, random, 1):
            for _, twice in drawn_redirections(once, random, 2):
                hold(one, twice)


CHECKS = {"one": ["yes", "no"], "two": ["yes", "no", "odd"], "three": ["yes", "no"], "four": ["up", "down"]}


def tangled(seed: int) -> str:
    """Two trees, one going on in the other, that ask a few checks again and again, sometimes without `else`."""
    random = Random(seed)
    checks = ", ".join(
        f"{name}: {{ask: How is {name}, hours: 0.1, answers: {{{', '.join(f'{a}: {a}' for a in answers)}}}}}"
        for name, answers in CHECKS.items()
    )
    faults = [f"fault-{letter}" for letter in "abcd"]
    told = ", ".join(f"{name}: {{title: {name}, why: It wore., repair: [], verify: [It runs.]}}" for name in faults)
    trees = [tangled_tree(random, "first", "second", faults), tangled_tree(random, "second", "", faults)]
    return "\n---\n".join([f"checks: {{{checks}}}", f"faults: {{{told}}}", *trees])


def tangled_tree(random: Random, name: str, onward: str, faults: list[str]) -> str:
    ends = [f"end-{fault}" for fault in faults]
    nodes = [f"  {end}: {{outcome: {fault}}}" for end, fault in zip(ends, faults, strict=True)]
    if onward:
        nodes.append(f"  go: {{continue: {onward}}}")
        ends.append("go")
    for place in range(6):
        check = random.choice(list(CHECKS))
        leads = {answer: random.choice(ends) for answer in CHECKS[check]}
        then = ", ".join(f"{answer}: {end}" for answer, end in leads.items())
        otherwise = f", else: {random.choice(ends)}" if random.random() < 0.6 else ""
        nodes.append(f"  ask-{place}: {{check: {check}, then: {{{then}}}{otherwise}}}")
        ends = [*ends[-3:], f"ask-{place}"]
    weights = ", ".join(f"{fault}: 1" for fault in [*faults, *([onward] if onward else [])])
    head = f"tree: {name}\ntitle: {name}\nweights: {{{weights}}}\nstart: ask-5\nnodes:\n"
    return head + "\n".join(nodes) + "\n"


@pytest.mark.parametrize("seed", range(40))
def test_whole_trees_that_ask_again_and_go_on_are_compared_to_the_last_answer(tmp_path: Path, seed: int) -> None:
    hold(library_of(tmp_path, tangled(seed)), library_of(tmp_path, tangled(seed + 1000)))


def test_a_question_skipped_in_a_long_tree_is_followed_either_way(tmp_path: Path) -> None:
    """Sixteen questions in a row: answers that one walk gives ahead of the other would multiply."""
    long, skipping = (library_of(tmp_path, chain(skip)) for skip in (0, 5))
    for before, after in ((long, skipping), (skipping, long)):
        found = change(before.library, after.library, most=1000)
        assert found.searched
        assert not found.moved or all(
            [end_of(lib, "only", "only", "chain", said_by(lib, one)) for lib in (before, after)]
            == [one.before, one.after]
            for one in found.moved
        )
        assert len(found.moved) == 5 * 11  # of the five skipped, to each of the eleven ends behind them


def chain(skip: int) -> str:
    """Each question's `yes` ends in its own fault, its `no` asks the next one; the first may skip some."""
    many = range(16)
    checks = ", ".join(f"c{at}: {{ask: How is c{at}, hours: 0.1, answers: {{yes: Yes, no: No}}}}" for at in many)
    faults = ", ".join(f"f{at}: {{title: f{at}, why: It wore., repair: [], verify: [It runs.]}}" for at in range(17))
    nodes = [f"  q{at}: {{check: c{at}, then: {{yes: e{at}, no: q{at + 1}}}, else: q{at + 1}}}" for at in many]
    nodes[0] = f"  q0: {{check: c0, then: {{yes: e0, no: q{1 + skip}}}, else: q{1 + skip}}}"
    nodes += [f"  e{at}: {{outcome: f{at}}}" for at in many] + ["  q16: {outcome: f16}"]
    weights = ", ".join(f"f{at}: 1" for at in range(17))
    head = f"tree: chain\ntitle: Chain\nweights: {{{weights}}}\nstart: q0\nnodes:\n"
    return "\n---\n".join([f"checks: {{{checks}}}", f"faults: {{{faults}}}", head + "\n".join(nodes) + "\n"])


@pytest.mark.parametrize("seed", SEEDS)
def test_a_check_that_no_longer_applies_everywhere_is_found_both_ways(drawn: dict[str, Both], seed: int) -> None:
    one = drawn[f"seed-{seed}"]
    for question in one.library.trees["trial"].questions:
        check = one.library.checks[question.check]
        if question.otherwise and not check.when.terms:
            tables = deepcopy(one.tables)
            tables.checks[check.id]["when"] = {"size": "small"}
            rarer = replace(check, when=Condition((("size", ("small",)),)))
            edited = Both(replace(one.library, checks={**one.library.checks, check.id: rarer}), tables)
            hold(one, edited)
            hold(edited, one)


# Scopes, by the plain sums


@pytest.mark.parametrize("name", ["pump", "boiler", *(f"seed-{seed}" for seed in SEEDS)])
def test_scopes_that_differ_are_told_with_both_bills(drawn: dict[str, Both], name: str) -> None:
    """One step takes an hour more, one part costs 1 more; the plain sums say what that does."""
    before = drawn[name]
    after = dearer(before, Random(name))
    found = change(before.library, after.library)
    (engine,) = before.library.engines
    seen = {
        (fault, build): bills
        for fault in before.tables.faults
        for build, bills in plain_bills(before, after, engine, fault).items()
        if bills[0] != bills[1]
    }
    told = {
        (move.fault, build): ((move.before.hours, move.before.parts_cost), (move.after.hours, move.after.parts_cost))
        for move in found.scopes
        for build in move.builds
    }
    assert told == seen
    rate = plain.labour_rate(before.tables)
    for move in found.scopes:
        assert move.after.cost == rate * move.after.hours + move.after.parts_cost
        assert not any((move.steps_added, move.steps_removed, move.parts_added, move.parts_removed))
    assert len(found.scopes) == len({(move.fault, move.before, move.after) for move in found.scopes})


def dearer(one: Both, random: Random) -> Both:
    (engine,) = one.library.engines.values()
    tables = deepcopy(one.tables)
    (table,) = tables.engines.values()
    step, part = random.choice(list(engine.work)), random.choice(list(engine.parts))
    table["work"][step]["hours"] = "9.5"
    work = {**engine.work, step: replace(engine.work[step], hours=Hours(9.5, 9.5, 9.5))}
    for number in table["parts"][part]["numbers"]:
        number["price"] = "12.75"
    numbers = tuple(replace(number, price=12.75) for number in engine.parts[part].numbers)
    stock = {**engine.parts, part: replace(engine.parts[part], numbers=numbers)}
    edited = replace(engine, work=work, parts=stock)
    return Both(replace(one.library, engines={engine.id: edited}), tables)


def plain_bills(before: Both, after: Both, engine: str, fault: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for build, features in plain.builds(before.tables.engines[engine]).items():
        if not plain.admits(before.tables.faults[fault].get("when"), features):
            continue
        bills = []
        for one in (before, after):
            table = one.tables.engines[engine]
            steps = closure(table, features, repair_steps(one.tables, table, features, [fault]))
            bills.append((hours(table, steps), parts_cost(parts(table, features, steps))))
        found[build] = tuple(bills)
    return found


def test_a_scope_is_compared_only_where_both_libraries_admit_the_fault(drawn: dict[str, Both]) -> None:
    old = drawn["pump"].library
    assert old.shop
    after = replace(old, shop=replace(old.shop, labour_rate=80.0))
    everywhere = {build for move in change(old, after).scopes for build in move.builds}
    assert everywhere == {"plain", "sealed", "tall", "short"}
    packed = Condition((("seal", ("packed",)),))
    for rarer in ("old", "new"):
        pair = {"old": old, "new": after}
        faults = {name: replace(fault, when=packed) for name, fault in pair[rarer].faults.items()}
        pair[rarer] = replace(pair[rarer], faults=faults)
        scopes = change(pair["old"], pair["new"]).scopes
        assert {build for move in scopes for build in move.builds} == {"plain"}


def test_steps_and_parts_that_come_and_go_are_named(drawn: dict[str, Both]) -> None:
    library = drawn["pump"].library
    engine = library.engines["tarn-pump"]
    step = engine.work["seal-suction-flanges"]
    bare = replace(
        step, brings={}, takes=(replace(step.takes[0], quantity=replace(step.takes[0].quantity, fixed=3.0)),)
    )
    edited = replace(library, engines={engine.id: replace(engine, work={**engine.work, step.id: bare})})
    (move,) = [one for one in change(library, edited).scopes if one.fault == "air-in-suction"]
    assert move.builds == tuple(engine.builds)
    assert (move.steps_added, move.steps_removed) == ((), ("clean-strainer",))
    assert [(goods.part.id, goods.number, goods.quantity) for goods in move.parts_added] == [
        ("flange-gasket", "TN-181", Fraction(1))
    ]
    assert [(goods.part.id, goods.number, goods.quantity) for goods in move.parts_removed] == [
        ("strainer-gasket", "TN-180", Fraction(1))
    ]


# Weights and tables


@pytest.mark.parametrize("name", [*NAMES, *(f"seed-{seed}" for seed in SEEDS)])
def test_chances_before_any_answer_are_those_of_the_plain_sums(drawn: dict[str, Both], name: str) -> None:
    one = drawn[name]
    for tree in one.library.trees.values():
        for engine in served(one.library, tree):
            want = belief(one.tables, one.tables.engines.get(engine.id), one.tables.trees[tree.id], {})
            assert chances(one.library, tree, engine) == pytest.approx(want, abs=1e-12)


def test_a_weight_that_moves_is_told_and_scaling_all_is_nothing(tmp_path: Path) -> None:
    text = (FOREIGN / "small.yaml").read_text(encoding="utf-8")
    before = library_of(tmp_path, text).library
    after = library_of(tmp_path, text.replace("fuse-blown: 15", "fuse-blown: 40")).library
    found = change(before, after)
    assert [(one.cause, round(one.before, 4), round(one.after, 4)) for one in found.weights] == [
        ("bulb-burnt", 0.6, 0.48),
        ("fuse-blown", 0.15, 0.32),
        ("cord-broken", 0.2, 0.16),
        ("other", 0.05, 0.04),
    ]
    assert not found.moved
    scaled = text.replace(
        "bulb-burnt: 60, fuse-blown: 15, cord-broken: 20}", "bulb-burnt: 6, fuse-blown: 1.5, cord-broken: 2}"
    )
    found = change(before, library_of(tmp_path, scaled.replace("other: 5", "other: 0.5")).library)
    assert not found.felt
    assert not found.edits


def test_a_row_that_moves_is_told_for_all_that_share_it(tmp_path: Path) -> None:
    text = (FOREIGN / "small.yaml").read_text(encoding="utf-8")
    before = library_of(tmp_path, text).library
    after = library_of(tmp_path, text.replace("default: 90, bulb-burnt: 1", "default: 50, bulb-burnt: 1")).library
    (row,) = change(before, after).rows
    assert (row.check, row.causes) == ("bulb-glows", ("fuse-blown", "cord-broken"))
    assert dict(row.before)["yes"] == pytest.approx(0.99 * 0.9 + 0.005)  # slip 0.01, two answers
    assert dict(row.after)["yes"] == pytest.approx(0.5)


# By example


def texts(change_: Change) -> list[Any]:
    return [(one.before, one.after, {c: r.text for c, r in one.answers.items()}) for one in change_.moved]


def test_wording_changes_nothing(tmp_path: Path) -> None:
    """Titles, questions, notes, and what a node is called."""
    text = (FOREIGN / "small.yaml").read_text(encoding="utf-8")
    worded = text.replace("Does the bulb glow", "Does it glow").replace("Fuse blown", "A fuse has blown")
    worded = worded.replace("It glows", "Bright").replace("new-cord", "cord").replace('revision: "1"', 'revision: "2"')
    assert worded != text
    found = change(library_of(tmp_path, text).library, library_of(tmp_path, worded).library)
    assert not found.felt
    assert not found.edits
    assert found.searched


def test_a_moved_answer_is_that_pair_and_no_other(drawn: dict[str, Both]) -> None:
    before = drawn["small.yaml"]
    found = hold(before, redirected(before, "dark-lamp", "socket", "yes", "new-fuse"))
    # 'Cannot tell' at the bulb leads there too, and is as short; an answer that was had comes first.
    assert texts(found) == [(("cord-broken",), ("fuse-blown",), {"bulb-glows": "yes", "socket-live": "yes"})]
    assert [(one.when, one.faults) for one in found.reached] == [("before", ("cord-broken",))]


def test_a_new_question_stands_in_the_answers(drawn: dict[str, Both]) -> None:
    """The old library has not got that check: there the answer is left out."""
    old = drawn["small.yaml"].library
    wiggle = Check("wiggle", "Does it flicker?", (Answer("yes", "Yes"), Answer("no", "No")), Hours(0.1, 0.1, 0.1))
    tree = old.trees["dark-lamp"]
    socket = tree.nodes["socket"]
    assert isinstance(socket, Question)
    asked = Question("ask", "wiggle", {"yes": "new-cord", "no": "new-fuse"}, otherwise="new-fuse")
    nodes = {**tree.nodes, "ask": asked, "socket": replace(socket, then={**socket.then, "no": "ask"})}
    new = replace(old, checks={**old.checks, "wiggle": wiggle}, trees={"dark-lamp": replace(tree, nodes=nodes)})
    found = change(old, new)
    assert texts(found) == [
        (("fuse-blown",), ("cord-broken",), {"bulb-glows": "yes", "socket-live": "no", "wiggle": "yes"})
    ]
    assert found.added.checks == ("wiggle",)
    assert texts(change(new, old))[0][:2] == (("cord-broken",), ("fuse-blown",))


def test_a_new_answer_is_named_and_leads_nowhere_in_the_old_library(drawn: dict[str, Both]) -> None:
    old = drawn["small.yaml"].library
    check = old.checks["socket-live"]
    more = replace(check, answers=(*check.answers, Answer("odd", "It flickers")), given={})
    socket = old.trees["dark-lamp"].nodes["socket"]
    assert isinstance(socket, Question)
    new = with_node(old, "dark-lamp", replace(socket, then={**socket.then, "odd": "new-bulb"}))
    found = change(old, replace(new, checks={**old.checks, "socket-live": more}))
    assert found.added.answers == (("socket-live", "odd"),)
    assert not found.moved
    assert found.felt


def test_an_entry_that_only_one_library_has_is_named(drawn: dict[str, Both]) -> None:
    old = drawn["pump"].library
    engine = old.engines["tarn-pump"]
    fewer = replace(engine, builds={name: build for name, build in engine.builds.items() if name != "tall"})
    trees = {name: tree for name, tree in old.trees.items() if name == "low-flow"}
    new = replace(old, trees=trees, engines={engine.id: fewer})
    found = change(old, new)
    assert found.removed.trees == ("noisy-pump",)
    assert found.removed.builds == (("tarn-pump", "tall"),)
    assert not found.added
    assert change(new, old).added == found.removed


def test_what_moves_no_figure_is_still_named(drawn: dict[str, Both]) -> None:
    """A caution's level moves no outcome, scope, chance or cost, and it is not nothing."""
    old = drawn["pump"].library
    name, caution = next(iter(old.cautions.items()))
    louder = replace(caution, level="note" if caution.level != "note" else "warn")
    found = change(old, replace(old, cautions={**old.cautions, name: louder}))
    assert not found.felt
    assert [(edit.kind, edit.id, edit.keys) for edit in found.edits] == [("cautions", name, ("level",))]


def test_a_check_that_takes_longer_makes_the_walk_dearer(drawn: dict[str, Both]) -> None:
    old = drawn["pump"].library
    slower = replace(old.checks["soap-test"], hours=Hours(1.0, 1.0, 1.0))
    found = change(old, replace(old, checks={**old.checks, "soap-test": slower}))
    assert found.walks
    assert all(one.after > one.before for one in found.walks)
    assert not found.moved
    assert [(edit.kind, edit.id, edit.keys) for edit in found.edits] == [("checks", "soap-test", ("hours",))]


def test_a_search_that_is_cut_says_so(drawn: dict[str, Both]) -> None:
    before = drawn["pump"]
    after = redirected(before, "low-flow", "rings", "close", "dirty")
    found = list(moves(Pair(before.library, after.library), most=2))
    assert not [one for one in found if isinstance(one, Moved)]
    assert not change(before.library, after.library, most=2).searched
    assert {cut.where.tree for cut in change(before.library, after.library, most=2).cut} == {"noisy-pump", "low-flow"}


# What an answer means to both


def gauge(unit: str, limit: float) -> Check:
    answers = (Answer("low", "Low", Band(None, limit)), Answer("ok", "Good", Band(limit, None)))
    return Check("gauge", "How much?", answers, Hours(0.1, 0.1, 0.1), kind="reading", gauge=Gauge(unit, 0.0))


def test_an_answer_whose_band_stood_still_is_given_by_its_id() -> None:
    old, new = gauge("kPa", 100.0), gauge("kPa", 100.0)
    assert [(one.text, one.views) for one in replies([old, new], [ONLY_ENGINE] * 2).found] == [
        ("low", ("low", "low")),
        ("ok", ("ok", "ok")),
        ("?", ("?", "?")),
    ]


def test_a_moved_limit_gives_readings_with_their_unit() -> None:
    found = replies([gauge("kPa", 100.0), gauge("kPa", 80.0)], [ONLY_ENGINE] * 2).found
    assert {one.views for one in found} == {("low", "low"), ("low", "ok"), ("ok", "ok"), ("?", "?")}
    said = {one.views: one.text for one in found}
    spans = {("low", "low"): (0, 80), ("low", "ok"): (80, 100), ("ok", "ok"): (100, 1000)}
    for views, (low, high) in spans.items():
        value, unit = said[views].split()
        assert unit == "kPa"
        assert low <= float(value) < high


def test_limits_in_another_unit_are_the_same_limits() -> None:
    """1 bar is 100 kPa: nothing moved. SI, and exact."""
    assert replies([gauge("kPa", 100.0), gauge("bar", 1.0)], [ONLY_ENGINE] * 2).steady
    found = replies([gauge("kPa", 100.0), gauge("bar", 1.2)], [ONLY_ENGINE] * 2).found
    (between,) = [one.text for one in found if one.views == ("ok", "low")]
    assert 100 <= float(between.split()[0]) < 120


@pytest.mark.parametrize(
    ("low", "high"),
    [
        (float("-inf"), 0.5),
        (3.2, float("inf")),
        (0.0, 0.1),
        (99.95, 100.0),
        (-5.0, -4.99),
        (1e9, 2e9),
        (0.1, 0.1 + 1e-15),
    ],
)
def test_a_reading_inside_is_inside(low: float, high: float) -> None:
    assert low <= float(inside(low, high)) < high


def codes(*answers: tuple[str, tuple[tuple[str, ...], ...]]) -> Check:
    listed = tuple(Answer(name, name, groups=groups) for name, groups in answers)
    return Check("stored", "Which?", listed, Hours(0.1, 0.1, 0.1), kind="codes")


def test_moved_groups_of_codes_give_codes_that_mean_it_to_both() -> None:
    both_banks = (("P0016", "P0017"), ("P0018", "P0019"))
    old = codes(("both", both_banks), ("one", (("P0016", "P0017"),)), ("none", ()))
    new = codes(("one", (("P0016",),)), ("both", both_banks), ("none", ()))
    found = replies([old, new], [ONLY_ENGINE] * 2)
    assert found.whole
    met = {one.views for one in found.found if one.text != CANNOT_TELL}
    # Every set of the four codes, by the rule of the first match.
    universe = ["P0016", "P0017", "P0018", "P0019"]
    sets = [frozenset(c for at, c in enumerate(universe) if bits >> at & 1) for bits in range(16)]
    assert met == {tuple(first_match(check, stored) for check in (old, new)) for stored in sets}
    for one in found.found:
        if one.text != CANNOT_TELL:
            stored = frozenset(one.text.split("+")) - {""}
            assert tuple(first_match(check, stored) for check in (old, new)) == one.views


def first_match(check: Check, stored: frozenset[str]) -> str | None:
    return matching_answer(stored, [(answer.id, answer.groups) for answer in check.answers])


def test_shapes_do_not_hang_on_names(drawn: dict[str, Both]) -> None:
    library = drawn["small.yaml"].library
    tree = library.trees["dark-lamp"]
    renamed = {f"x-{name}": rename(node) for name, node in tree.nodes.items()}
    other = replace(library, trees={tree.id: replace(tree, nodes=renamed, start=f"x-{tree.start}")})
    shapes = Shapes()
    first, second = ground(library, tree), ground(other, other.trees[tree.id])
    assert shapes.of(first)[first.start] == shapes.of(second)[second.start]
    assert Ended(("a",)) != Ended(("b",))


def rename(node: Any) -> Any:
    if not isinstance(node, Question):
        return replace(node, id=f"x-{node.id}")
    then: Mapping[str, str] = {answer: f"x-{end}" for answer, end in node.then.items()}
    return replace(node, id=f"x-{node.id}", then=then, otherwise=f"x-{node.otherwise}" if node.otherwise else "")
