"""What an edit does to the repair scope of each fault."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from diagtree.estimate.moves import Pair, shared_builds, shared_engines
from diagtree.graph.labour import closure, labour
from diagtree.graph.pricing import NOTHING, exact
from diagtree.model.engine import Build, Engine, Part
from diagtree.model.fault import Fault
from diagtree.scope.parts import part_lines, single_cost, takes_of
from diagtree.scope.plan import hours_of


@dataclass(frozen=True, slots=True)
class Bill:
    """One fault's scope: hours, parts at single prices, labour and parts together, in the shop's currency."""

    hours: Fraction
    parts_cost: Fraction
    cost: Fraction


@dataclass(frozen=True, slots=True)
class Goods:
    """So many (or so much, in its unit) of a part, under the number that fits; empty where none does."""

    part: Part
    number: str
    quantity: Fraction


@dataclass(frozen=True, slots=True)
class ScopeMove:
    """The scope of a fault that differs, alike in these builds. Steps by id, in the order of the engine's work."""

    fault: str
    engine: str
    builds: tuple[str, ...]
    steps_added: tuple[str, ...]
    steps_removed: tuple[str, ...]
    parts_added: tuple[Goods, ...]
    parts_removed: tuple[Goods, ...]
    before: Bill
    after: Bill


@dataclass(frozen=True, slots=True)
class _Needs:
    steps: tuple[str, ...]
    goods: tuple[Goods, ...]
    bill: Bill


def scope_moves(pair: Pair) -> Iterator[ScopeMove]:
    """Each fault's scope that differs, in every build that both libraries have and that both let it exist in."""
    rates = (exact(pair.old.rates.labour_rate), exact(pair.new.rates.labour_rate))
    for name, fault in pair.old.faults.items():
        after = pair.new.faults.get(name)
        if after is None:
            continue
        for engines in shared_engines(pair):
            alike: dict[ScopeMove, list[str]] = {}
            for first, second in shared_builds(engines):
                if fault.when.admits(first.features) and after.when.admits(second.features):
                    needs = (_needs(engines[0], first, fault, rates[0]), _needs(engines[1], second, after, rates[1]))
                    move = _move(name, engines[0].id, needs)
                    if move:
                        alike.setdefault(move, []).append(first.id)
            yield from (replace(move, builds=tuple(names)) for move, names in alike.items())


def _needs(engine: Engine, build: Build, fault: Fault, rate: Fraction) -> _Needs:
    work = labour(engine, build)
    done = closure(work, fault.repair)
    steps = tuple(name for name in work.steps if name in done)
    lines = part_lines(engine, build, takes_of(work, steps))
    hours, parts = hours_of(work, steps), single_cost(lines)
    goods = tuple(Goods(line.part, line.number, line.quantity) for line in lines)
    return _Needs(steps, goods, Bill(hours, parts, rate * hours + parts))


def _move(fault: str, engine: str, needs: tuple[_Needs, _Needs]) -> ScopeMove | None:
    before, after = needs
    move = ScopeMove(
        fault=fault,
        engine=engine,
        builds=(),
        steps_added=tuple(step for step in after.steps if step not in before.steps),
        steps_removed=tuple(step for step in before.steps if step not in after.steps),
        parts_added=_more(after.goods, before.goods),
        parts_removed=_more(before.goods, after.goods),
        before=before.bill,
        after=after.bill,
    )
    moved = (move.steps_added, move.steps_removed, move.parts_added, move.parts_removed)
    return move if any(moved) or before.bill != after.bill else None


def _more(here: tuple[Goods, ...], there: tuple[Goods, ...]) -> tuple[Goods, ...]:
    """What is needed here beyond what is needed there, by part and number."""
    had = {(goods.part.id, goods.number): goods.quantity for goods in there}
    more = ((goods, goods.quantity - had.get((goods.part.id, goods.number), NOTHING)) for goods in here)
    return tuple(replace(goods, quantity=quantity) for goods, quantity in more if quantity > 0)
