"""What to check next by the words of the formats page: prices, worth, the best adaptive order, the cost of a tree.

Readings chosen where the page leaves room:

- A fault that the build excludes by `when` is no candidate for a scope; a fault of weight or probability 0 is.
- A tree gone on to is a candidate too: one step of its own, needing nothing and shared with nothing. It costs that
  tree's walk cost given the answers and D, whatever else is in the scope; it mends that one cause. Its come-back is
  goodwill and its walk cost given the same answers with nothing done.
- An outcome's scope is the closure of all its faults' repairs, also of those that the build excludes.
- A question whose check is never asked after an answer that is known counts as one that cannot be had: `else`, free.
- Only the checks of the tree itself are open, not those of trees gone on to; an answered check is not open again.
- A known reading steers by its band and weighs every band as evidence; a reading still to come is just its answer.
- Of open builds, an answer's probability is taken over the builds in which its check applies, and sums to 1.
- Of open builds, a first move that does not apply to a build costs nothing there: that build has its own best cost.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations
from typing import TYPE_CHECKING, Any

from tests.oracle.believing import (
    NO_ENGINE,
    Evidence,
    band_of,
    candidates,
    come_back,
    joint,
    likelihood,
    mended,
    row,
)
from tests.oracle.reading import Library, Table, admits, builds, goodwill, labour_rate, mean_hours
from tests.oracle.scoping import admitted_number, closure, repair_steps, total_takes, work_cost

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from tests.oracle.scoping import Features

Answers = frozenset[tuple[str, "str | float"]]
Steps = frozenset[str]
NOTHING: Steps = frozenset()
TIE = 1e-9


@dataclass(slots=True)
class Bench:
    """One tree on one fully known build, and notes of what was worked out before."""

    library: Library
    engine: Table
    tree: str
    features: Features
    notes: dict[Any, Any] = field(default_factory=dict)

    def note(self, key: Any, work_out: Callable[[], Any]) -> Any:
        """Work a thing out once."""
        if key not in self.notes:
            self.notes[key] = work_out()
        return self.notes[key]


@dataclass(frozen=True, slots=True)
class Look:
    """What one check costs and tells now."""

    price: float
    worth: float
    information: float
    net: float
    answers: dict[str, float]


def nodes(bench: Bench) -> Table:
    table: Table = bench.library.trees[bench.tree]["nodes"]
    return table


def other_tree(bench: Bench, tree: str) -> Bench:
    """Give the bench of a tree gone on to, in the same build."""
    made: Bench = bench.note(("tree", tree), lambda: Bench(bench.library, bench.engine, tree, bench.features))
    return made


# What is known


def chances(bench: Bench, answers: Answers) -> dict[str, float]:
    """Give P(fault | answers) in this build."""

    def work_out() -> dict[str, float]:
        raw = candidates(bench.library, bench.library.trees[bench.tree], bench.features)
        for fault in raw:
            for check, reply in answers:
                raw[fault] *= told(bench, check, reply, fault)
        whole = sum(raw.values())
        return {fault: value / whole for fault, value in raw.items()}

    found: dict[str, float] = bench.note(("chances", answers), work_out)
    return found


def told(bench: Bench, check: str, reply: str | float, fault: str) -> float:
    """Give P(reply | fault)."""
    value: float = bench.note(
        ("told", check, reply, fault), lambda: likelihood(bench.library, bench.engine, check, reply, fault)
    )
    return value


def answer_chances(bench: Bench, answers: Answers, check: str) -> dict[str, float]:
    """Give P(answer of a check | answers) in this build."""
    found = dict.fromkeys(bench.library.checks[check]["answers"], 0.0)
    for fault, chance in chances(bench, answers).items():
        rows = rows_of(bench, check)[fault]
        for answer in found:
            found[answer] += chance * rows[answer]
    return found


def rows_of(bench: Bench, check: str) -> dict[str, dict[str, float]]:
    """Give P(answer | fault) of a check by fault."""
    causes = candidates(bench.library, bench.library.trees[bench.tree], bench.features)
    rows: dict[str, dict[str, float]] = bench.note(
        ("rows", check), lambda: {cause: row(bench.library, check, cause) for cause in causes}
    )
    return rows


def steering(bench: Bench, answers: Answers) -> dict[str, str]:
    """Give the answer that each check stands at: a reading's is that of its band."""
    return {
        check: reply if isinstance(reply, str) else band_of(bench.library, bench.engine, check, reply)
        for check, reply in answers
    }


def applies(bench: Bench, check: str) -> bool:
    return admits(bench.library.checks[check].get("when"), bench.features)


def forbidden(bench: Bench, answers: Answers, check: str) -> bool:
    """Tell whether an answer that is known rules this check out for good."""
    known = steering(bench, answers)
    never = bench.library.checks[check].get("never-after") or {}
    return any(known.get(other) in replies for other, replies in never.items())


def open_checks(bench: Bench, answers: Answers) -> list[str]:
    """Give the checks of the tree that can be asked now."""
    asked = {check for check, _ in answers}
    every = sorted({body["check"] for body in nodes(bench).values() if "check" in body})
    return [
        check
        for check in every
        if applies(bench, check) and check not in asked and not forbidden(bench, answers, check)
    ]


# What is open, and what it costs


def access(bench: Bench, check: str) -> Steps:
    """Give closure(behind)."""
    steps: Steps = bench.note(
        ("access", check),
        lambda: frozenset(closure(bench.engine, bench.features, bench.library.checks[check].get("behind") or [])),
    )
    return steps


def opened(bench: Bench, answers: Answers) -> Steps:
    """Give D: the access of the checks answered that apply."""
    return NOTHING.union(*(access(bench, check) for check, _ in answers if applies(bench, check)))


def work(bench: Bench, steps: Iterable[str]) -> float:
    """Give the sum of k."""
    return sum(one_step(bench, step) for step in steps)


def one_step(bench: Bench, step: str) -> float:
    """Give k of one step."""
    money: float = bench.note(
        ("k", step), lambda: float(work_cost(bench.library, bench.engine, bench.features, [step]))
    )
    return money


def price(bench: Bench, check: str, done: Steps) -> float:
    """Give a check's own hours and takes, and the access that it opens."""
    return own_price(bench, check) + work(bench, access(bench, check) - done)


def own_price(bench: Bench, check: str) -> float:
    def work_out() -> float:
        table = bench.library.checks[check]
        money = labour_rate(bench.library) * mean_hours(table["hours"])
        for part, quantity in total_takes([table], bench.features).items():
            money += quantity * admitted_number(bench.engine, part, bench.features)[1]
        return float(money)

    money: float = bench.note(("own price", check), work_out)
    return money


# What a scope loses


def repairable(bench: Bench) -> list[str]:
    """Give the causes that a scope can be for: faults that the build admits, and trees gone on to."""
    return [
        cause
        for cause in candidates(bench.library, bench.library.trees[bench.tree], bench.features)
        if cause != "other"
    ]


def repair(bench: Bench, causes: Iterable[str]) -> Steps:
    """Give the closure of the repairs of faults (trees among the causes have no step of the engine's)."""
    faults = [cause for cause in causes if cause in bench.library.faults]
    wanted = repair_steps(bench.library, bench.engine, bench.features, faults)
    return frozenset(closure(bench.engine, bench.features, wanted))


def mends(bench: Bench, cause: str, causes: Iterable[str], done: Steps) -> bool:
    """Tell whether a cause is gone after these steps and, of trees, after those gone on to."""
    if cause in bench.library.trees:
        return cause in causes
    key = ("mended", cause, done)
    return bool(bench.note(key, lambda: mended(bench.library, bench.engine, bench.features, cause, set(done))))


def return_cost(bench: Bench, answers: Answers, cause: str) -> float:
    """Give what it costs to have left a cause."""
    if cause in bench.library.trees:
        return float(goodwill(bench.library)) + walk_cost(other_tree(bench, cause), answers, NOTHING)
    return float(
        bench.note(("come-back", cause), lambda: come_back(bench.library, bench.engine, bench.features, cause))
    )


def loss(bench: Bench, answers: Answers, done: Steps, causes: Iterable[str], steps: Steps | None = None) -> float:
    """Give the mean loss of the scope that repairs these causes (its closure, where it is worked out before)."""
    chosen = set(causes)
    inside = repair(bench, chosen) if steps is None else steps
    total = work(bench, inside - done)
    for cause in chosen & set(bench.library.trees):
        total += walk_cost(other_tree(bench, cause), answers, done)
    for cause, chance in chances(bench, answers).items():
        if not mends(bench, cause, chosen, inside | done):
            total += chance * return_cost(bench, answers, cause)
    return total


def every_scope(bench: Bench) -> list[tuple[tuple[str, ...], Steps]]:
    """Give every union of one or more repairs: the causes and the closure."""
    causes = repairable(bench)

    def work_out() -> list[tuple[tuple[str, ...], Steps]]:
        return [
            (chosen, repair(bench, chosen))
            for size in range(1, len(causes) + 1)
            for chosen in combinations(causes, size)
        ]

    found: list[tuple[tuple[str, ...], Steps]] = bench.note("scopes", work_out)
    return found


def best_loss(bench: Bench, answers: Answers, done: Steps) -> float:
    """Give the least mean loss of any scope now."""
    least: float = bench.note(
        ("best loss", answers, done),
        lambda: min(loss(bench, answers, done, chosen, steps) for chosen, steps in every_scope(bench)),
    )
    return least


def best_residuals(bench: Bench, answers: Answers, done: Steps) -> list[float]:
    """Give how often the car comes back, for each scope of least loss."""
    least = best_loss(bench, answers, done)
    return [
        residual(bench, answers, done, chosen)
        for chosen, steps in every_scope(bench)
        if loss(bench, answers, done, chosen, steps) <= least + TIE
    ]


def residual(bench: Bench, answers: Answers, done: Steps, causes: Iterable[str]) -> float:
    """Give how often the car comes back after the repair of these causes."""
    chosen = set(causes)
    inside = repair(bench, chosen) | done
    return sum(chance for cause, chance in chances(bench, answers).items() if not mends(bench, cause, chosen, inside))


# One look, and every order


def look(bench: Bench, answers: Answers, check: str) -> Look:
    """Give price, worth, information and net of one open check."""
    done = opened(bench, answers)
    then = done | access(bench, check)
    now = best_loss(bench, answers, done)
    seen = answer_chances(bench, answers, check)
    after = sum(chance * best_loss(bench, answers | {(check, one)}, then) for one, chance in seen.items() if chance)
    costs = price(bench, check, done)
    worth = now - after
    return Look(costs, worth, worth - (now - best_loss(bench, answers, then)), worth - costs, seen)


def move_cost(bench: Bench, answers: Answers, check: str) -> float:
    """Give the expected cost of asking this check now and going on as well as can be."""
    total = price(bench, check, opened(bench, answers))
    for one, chance in answer_chances(bench, answers, check).items():
        if chance:
            total += chance * best_cost(bench, answers | {(check, one)})
    return total


def best_cost(bench: Bench, answers: Answers = frozenset()) -> float:
    """Give the least expected cost of any adaptive order from here: what is open follows from the answers."""

    def work_out() -> float:
        stop = best_loss(bench, answers, opened(bench, answers))
        return min([stop, *(move_cost(bench, answers, check) for check in open_checks(bench, answers))])

    least: float = bench.note(("best cost", answers), work_out)
    return least


# The authored tree


def walk_cost(bench: Bench, answers: Answers = frozenset(), done: Steps = NOTHING) -> float:
    """Give the expected cost of walking the tree as it was written."""
    value: float = bench.note(
        ("walk", answers, done), lambda: _from(bench, bench.library.trees[bench.tree]["start"], answers, done)
    )
    return value


def asked_cost(bench: Bench) -> float:
    """Give the expected cost of asking as the tree was written, with the best scope at the end of each path."""
    return _from(bench, bench.library.trees[bench.tree]["start"], frozenset(), NOTHING, at_best=True)


def _from(bench: Bench, node: str, answers: Answers, done: Steps, *, at_best: bool = False) -> float:
    body = nodes(bench)[node]
    if at_best and "check" not in body:
        return best_loss(bench, answers, done)
    if "outcome" in body:
        faults = body["outcome"]
        return loss(bench, answers, done, [faults] if isinstance(faults, str) else faults)
    if "continue" in body:
        return loss(bench, answers, done, [body["continue"]])
    check = body["check"]
    known = steering(bench, answers)
    if check in known:
        return _from(bench, body["then"][known[check]], answers, done, at_best=at_best)
    if not applies(bench, check) or forbidden(bench, answers, check):
        return _from(bench, body["else"], answers, done, at_best=at_best)
    total = price(bench, check, done)
    for one, chance in answer_chances(bench, answers, check).items():
        if chance:
            after = answers | {(check, one)}
            opened_now = done | access(bench, check)
            total += chance * _from(bench, body["then"][one], after, opened_now, at_best=at_best)
    return total


# Open builds


@dataclass(frozen=True, slots=True)
class Mixture:
    """The builds that are left, each with P(build | answers) and its bench."""

    left: dict[str, tuple[float, Bench]]
    answers: Answers

    def mean(self, value: Callable[[Bench], float]) -> float:
        """Mix what is computed per build."""
        return sum(chance * value(bench) for chance, bench in self.left.values())


def benches(library: Library, tree: str) -> dict[str, Bench]:
    """Give the bench of each build of the only engine, or of a library without one."""
    (engine,) = library.engines.values() or [NO_ENGINE]
    return {build: Bench(library, engine, tree, features) for build, features in builds(engine).items()}


def mixture(every: Mapping[str, Bench], known: Features, evidence: Evidence) -> Mixture:
    """Give the builds that known features and answers leave."""
    one = next(iter(every.values()))
    shares: dict[str, float] = {}
    for (_, build), chance in joint(one.library, one.engine, one.library.trees[one.tree], evidence, known).items():
        shares[build] = shares.get(build, 0.0) + chance
    left = {build: (share, every[build]) for build, share in shares.items() if share}
    return Mixture(left, frozenset(evidence.items()))


def mixed_belief(mixed: Mixture) -> dict[str, float]:
    """Give P(fault | answers)."""
    total: dict[str, float] = {}
    for share, bench in mixed.left.values():
        for fault, chance in chances(bench, mixed.answers).items():
            total[fault] = total.get(fault, 0.0) + share * chance
    return total


def mixed_stop(mixed: Mixture) -> float:
    """Give the best loss now, each build with its own best scope."""
    return mixed.mean(lambda bench: best_loss(bench, mixed.answers, opened(bench, mixed.answers)))


def mixed_residuals(mixed: Mixture) -> tuple[float, float]:
    """Give the least and the greatest residual of best scopes, for where several are equally good."""
    every = [
        (share, best_residuals(bench, mixed.answers, opened(bench, mixed.answers)))
        for share, bench in mixed.left.values()
    ]
    return sum(share * min(some) for share, some in every), sum(share * max(some) for share, some in every)


def mixed_looks(mixed: Mixture) -> dict[str, Look]:
    """Give every check that is open in some build that is left."""
    every = {check for _, bench in mixed.left.values() for check in open_checks(bench, mixed.answers)}
    return {check: mixed_look(mixed, check) for check in sorted(every)}


def mixed_look(mixed: Mixture, check: str) -> Look:
    """Mix the looks of the builds in which a check applies; elsewhere price and worth are 0."""
    looks = [
        (share, look(bench, mixed.answers, check)) for share, bench in mixed.left.values() if applies(bench, check)
    ]
    whole = sum(share for share, _ in looks)
    return Look(
        sum(share * one.price for share, one in looks),
        sum(share * one.worth for share, one in looks),
        sum(share * one.information for share, one in looks),
        sum(share * one.net for share, one in looks),
        {answer: sum(share * one.answers[answer] for share, one in looks) / whole for answer in looks[0][1].answers},
    )


def mixed_moves(mixed: Mixture) -> dict[str | None, float]:
    """Give the mixed cost of each first move, None to stop; each build then goes on by its own best policy."""
    moves: dict[str | None, float] = {None: mixed_stop(mixed)}
    for check in mixed_looks(mixed):

        def cost(bench: Bench, check: str = check) -> float:
            if applies(bench, check):
                return move_cost(bench, mixed.answers, check)
            return best_cost(bench, mixed.answers)

        moves[check] = mixed.mean(cost)
    return moves
