"""The cheapest order of parts for many sets of work in one build.

What no kit holds is paid singly and adds up. Only the rest needs the buying programme, and few needs of it differ.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

from diagtree.graph.pricing import NOTHING, exact, number_for, quantities
from diagtree.model.engine import Build, Engine
from diagtree.model.quantity import Take
from diagtree.scope.parts import PartLine, bill, buying

Needs = tuple[int, ...]  # of each part that may be taken, in whole grains


@dataclass(frozen=True, slots=True)
class Order:
    """What is ordered."""

    cost: float
    owing: frozenset[str]  # the parts among it that have a deposit


class Orders:
    """Orders of one build, each distinct need settled once."""

    __slots__ = ("_build", "_engine", "_found", "_grain", "_lines", "_money", "_packed", "_prices", "_settled")

    def __init__(self, engine: Engine, build: Build, takes: Iterable[Take]) -> None:
        """`takes`: everything that may be taken in this build."""
        self._engine = engine
        self._build = build
        amounts: dict[str, list[Fraction]] = {}
        for take in takes:
            for part, quantity in quantities((take,), build).items():
                amounts.setdefault(part, []).append(quantity)
        self._grain = lcm(*(quantity.denominator for each in amounts.values() for quantity in each))
        self._lines = [_line(engine, build, part) for part in engine.parts if part in amounts]
        self._money = lcm(*(line.price.denominator for line in self._lines))
        self._prices = [int(line.price * self._money) for line in self._lines]
        held = {part for kit in engine.kits if kit.when.admits(build.features) for part in kit.holds}
        shelf = {line.number for line in self._lines if line.part.id in held}  # one number may be two parts
        self._packed = [
            line.number in shelf or not (line.part.unit or all(each.denominator == 1 for each in amounts[line.part.id]))
            for line in self._lines
        ]
        self._found: dict[Needs, Order] = {}
        self._settled: dict[Needs, Fraction] = {}

    def needs(self, takes: Iterable[Take]) -> Needs:
        """What some takes need. A part that the engine lacks is left out."""
        known = quantities(takes, self._build)
        return tuple(int(known.get(line.part.id, 0) * self._grain) for line in self._lines)

    def order(self, each: Sequence[Needs]) -> Order:
        """The cheapest order that covers several needs together."""
        needs = tuple(map(sum, zip(*each, strict=True)))
        found = self._found.get(needs)
        if found is None:
            found = self._found[needs] = self._made(needs)
        return found

    def _made(self, needs: Needs) -> Order:
        loose = sum(
            need * price for need, price, packed in zip(needs, self._prices, self._packed, strict=False) if not packed
        )
        rest = tuple(need if packed else 0 for need, packed in zip(needs, self._packed, strict=False))
        cost = Fraction(loose, self._grain * self._money) + (self._settle(rest) if any(rest) else 0)
        owing = (line.part for line, need in zip(self._lines, needs, strict=False) if need and line.part.deposit)
        return Order(float(cost), frozenset(part.id for part in owing))

    def _settle(self, needs: Needs) -> Fraction:
        found = self._settled.get(needs)
        if found is None:
            lines = [
                replace(line, quantity=Fraction(need, self._grain))
                for line, need in zip(self._lines, needs, strict=True)
                if need
            ]
            found = self._settled[needs] = bill(buying(self._engine, self._build, lines))
        return found


def _line(engine: Engine, build: Build, part: str) -> PartLine:
    number = number_for(engine.parts[part], build)
    if number is None:
        return PartLine(engine.parts[part], "", NOTHING, NOTHING)
    return PartLine(engine.parts[part], number.number, NOTHING, exact(number.price))
