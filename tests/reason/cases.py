"""Random small cases, and their best policy by plain recursion over sets of answers."""

from collections.abc import Mapping, Sequence
from itertools import combinations
from random import Random

from diagtree.graph.serving import builds
from diagtree.model.check import Answer, Check
from diagtree.model.engine import ONLY_BUILD, Build, Engine, Step
from diagtree.model.fault import Fault
from diagtree.model.library import Library, Shop
from diagtree.model.quantity import NO_HOURS, Amount, Hours
from diagtree.model.tree import Outcome, Question, Tree
from diagtree.reason.case import Case, case
from diagtree.reason.standing import Standing, answered, start


def even(hours: float) -> Hours:
    """Hours without spread."""
    return Hours(hours, hours, hours)


def step(name: str, hours: float, after: Sequence[str] = ()) -> Step:
    """A step of work."""
    return Step(name, name, even(hours), after=tuple(after))


def check(
    name: str,
    price: float,
    given: Mapping[str, Sequence[float]],
    *,
    behind: Sequence[str] = (),
    never_after: Mapping[str, Sequence[str]] | None = None,
) -> Check:
    """A check without slip, with answers a0, a1, ..."""
    many = len(next(iter(given.values())))
    return Check(
        name,
        name,
        tuple(Answer(f"a{at}", f"a{at}") for at in range(many)),
        even(price) if price else NO_HOURS,
        behind=tuple(behind),
        given={cause: tuple(row) for cause, row in given.items()},
        never_after={other: tuple(answers) for other, answers in (never_after or {}).items()},
        slip=0.0,
    )


def library(
    weights: Mapping[str, float],
    repairs: Mapping[str, Sequence[str]],
    steps: Sequence[Step],
    checks: Sequence[Check],
    *,
    goodwill: float,
    other: float | None = None,
    missed: Mapping[str, float] | None = None,
    order: Sequence[str] = (),
) -> Library:
    """One tree that asks every check in turn, whatever is answered, and then repairs the first cause."""
    asked = list(order or [one.id for one in checks])
    nodes: dict[str, Question | Outcome] = {}
    by_id = {one.id: one for one in checks}
    for at, name in enumerate(asked):
        to = asked[at + 1] if at + 1 < len(asked) else "end"
        nodes[name] = Question(name, name, {answer.id: to for answer in by_id[name].answers}, to)
    nodes["end"] = Outcome("end", tuple(weights)[:1])
    tree = Tree("t", "t", {name: Amount(w) for name, w in weights.items()}, next(iter(nodes)), nodes, other=other)
    return Library(
        shop=Shop("s", "S", "EUR", 1.0, 0.0, goodwill),
        checks=by_id,
        faults={
            name: Fault(name, name, "", tuple(repairs[name]), (), if_missed=(missed or {}).get(name, 0.0))
            for name in weights
        },
        engines={"e": Engine("e", "E", work={one.id: one for one in steps})},
        trees={"t": tree},
    )


def of(known: Library, build: Build | None = None) -> Case:
    """The case of the library's only tree."""
    engine = known.engines["e"]
    return case(known, known.trees["t"], engine, build or next(iter(builds(engine)), ONLY_BUILD))


def plain(
    weights: Mapping[str, float],
    work: Mapping[str, float | None],
    checks: Sequence[Check],
    *,
    goodwill: float,
    other: float | None = None,
) -> Standing:
    """A textbook problem: each fault has its own repair of this cost, None needs no work; labour at rate 1."""
    steps = [step(f"mend-{name}", cost) for name, cost in work.items() if cost is not None]
    repairs = {name: [] if cost is None else [f"mend-{name}"] for name, cost in work.items()}
    return start(of(library(weights, repairs, steps, checks, goodwill=goodwill, other=other)))


def random_library(seed: int) -> Library:
    """Some faults that share access and repairs, checks in front of and behind it, now and then forbidden."""
    draw = Random(seed)
    covers = [f"cover-{at}" for at in range(draw.randint(1, 4))]
    steps = [
        step(name, draw.choice([0.0, 5.0, 20.0, 60.0]), draw.sample(covers[:at], draw.randint(0, min(at, 2))))
        for at, name in enumerate(covers)
    ]
    mends = [f"mend-{at}" for at in range(draw.randint(1, 5))]
    steps += [
        step(name, draw.uniform(1, 80), draw.sample(covers, draw.randint(0, min(2, len(covers))))) for name in mends
    ]
    faults = [f"f{at}" for at in range(draw.randint(1, 5))]
    repairs = {
        name: [] if draw.random() < 0.15 else draw.sample(mends, draw.randint(1, min(3, len(mends)))) for name in faults
    }
    weights = {name: draw.choice([1.0, 3.0, 10.0, draw.uniform(0, 10)]) for name in faults}
    checks: list[Check] = []
    for at in range(draw.randint(1, 5)):
        many = draw.choice([2, 2, 2, 3])
        rows = {name: _row(draw, many) for name in ("default", *draw.sample(faults, draw.randint(0, len(faults))))}
        never = {}
        if checks and draw.random() < 0.3:
            before = draw.choice(checks)
            never = {before.id: draw.sample([one.id for one in before.answers], 1)}
        behind = draw.sample(covers, 1) if draw.random() < 0.4 else []
        price = draw.choice([0.0, draw.uniform(0, 6), draw.uniform(0, 25)])
        checks.append(check(f"c{at}", price, rows, behind=behind, never_after=never))
    return library(
        weights,
        repairs,
        steps,
        checks,
        goodwill=draw.choice([0.0, 50.0, 300.0]),
        other=draw.choice([None, None, 2.0]),
        missed={draw.choice(faults): draw.choice([0.0, 200.0])},
    )


def _row(draw: Random, many: int) -> tuple[float, ...]:
    row = [draw.choice([0.0, 1.0, 5.0, draw.uniform(0, 100)]) for _ in range(many)]
    return tuple(row) if any(row) else (1.0,) * many


def brute_stop(here: Standing) -> float:
    """The loss of the best union of one or more repairs, each tried; times P(answers)."""
    of_case = here.case
    masks = [repair for repair in dict.fromkeys(of_case.repairs) if repair is not None]
    best = float("inf")
    for many in range(1, len(masks) + 1):
        for chosen in combinations(masks, many):
            gone = here.done
            for mask in chosen:
                gone |= mask
            paid = sum(k for at, k in enumerate(of_case.prices) if (gone & ~here.done) >> at & 1)
            lost = sum(
                p * cost
                for p, cost, repair in zip(here.chances, of_case.come_back, of_case.repairs, strict=True)
                if repair is None or repair & ~gone
            )
            best = min(best, here.mass * paid + float(lost))
    return best


def brute(here: Standing) -> float:
    """The least cost of any policy, times P(answers), by recursion over sets of answers."""
    return _brute(here, {})


def _brute(here: Standing, known: dict[frozenset[tuple[str, str]], float]) -> float:
    key = frozenset((name, found.answer) for name, found in here.findings.items())
    if key not in known:
        best = brute_stop(here)
        for one in here.case.checks.values():
            barred = any(
                name in here.findings and here.findings[name].answer in answers
                for name, answers in one.never_after.items()
            )
            if one.id in here.findings or barred or not one.applies:
                continue
            opened = one.behind & ~here.done
            cost = one.price + sum(k for at, k in enumerate(here.case.prices) if opened >> at & 1)
            total = here.mass * cost
            for place in range(len(one.answers)):
                then = answered(here, one, place)
                total += _brute(then, known) if then.mass > 0 else 0.0
            best = min(best, total)
        known[key] = best
    return known[key]
