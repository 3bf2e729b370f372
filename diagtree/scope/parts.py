"""The parts that steps take in a build, with their numbers, and the cheapest way to buy them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from diagtree.graph.labour import Labour
from diagtree.graph.pricing import NOTHING, exact, number_for, quantities
from diagtree.model.engine import Build, Engine, Kit, Part
from diagtree.model.quantity import Take
from diagtree.scope.cover import cover
from diagtree.scope.scaling import Bundle


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part, how many (or how much, in its unit), and what to order.

    Attributes:
        number: the one number that admits the build; empty where none or several do, and the price is 0 then.
        price: for one, in the shop's currency.
    """

    part: Part
    number: str
    quantity: Fraction
    price: Fraction


@dataclass(frozen=True, slots=True)
class Purchase:
    """A line of an order: `count` of a number (in `unit`, where it is measured), at `price` for one."""

    number: str
    title: str
    count: Fraction
    price: Fraction
    unit: str
    kit: bool


def part_lines(engine: Engine, build: Build, takes: Iterable[Take]) -> tuple[PartLine, ...]:
    """What is taken, each part once, in the order of the engine's parts."""
    needed = quantities(takes, build)
    return tuple(_line(part, build, needed[name]) for name, part in engine.parts.items() if name in needed)


def _line(part: Part, build: Build, quantity: Fraction) -> PartLine:
    number = number_for(part, build)
    return PartLine(part, number.number if number else "", quantity, exact(number.price) if number else NOTHING)


def takes_of(work: Labour, steps: Iterable[str]) -> tuple[Take, ...]:
    """What some steps of a build take."""
    return tuple(take for name in steps for take in work.steps[name].takes)


def single_cost(lines: Iterable[PartLine]) -> Fraction:
    """The bill at single prices."""
    return sum((line.quantity * line.price for line in lines), NOTHING)


def bill(purchases: Iterable[Purchase]) -> Fraction:
    """What an order costs."""
    return sum((line.count * line.price for line in purchases), NOTHING)


def buying(engine: Engine, build: Build, lines: Sequence[PartLine]) -> tuple[Purchase, ...]:
    """The cheapest order that covers the lines that have a number, sorted by number.

    Parts that share a number and a price are the same thing on the shelf: their quantities are added first.
    """
    needs: dict[tuple[str, Fraction], list[PartLine]] = {}
    for line in lines:
        if line.number:
            needs.setdefault((line.number, line.price), []).append(line)
    goods = list(needs.values())
    kits = [kit for kit in engine.kits if kit.when.admits(build.features)]
    found = cover(
        [sum((line.quantity for line in same), NOTHING) for same in goods],
        [same[0].price for same in goods],
        [Bundle(exact(kit.price), _holds(kit, goods)) for kit in kits],
        numbers=[*(same[0].number for same in goods), *(kit.number for kit in kits)],
        divisible=frozenset(place for place, same in enumerate(goods) if any(line.part.unit for line in same)),
    )
    if found is None:
        message = "every part that is needed is sold singly"
        raise AssertionError(message)
    singles = [
        Purchase(same[0].number, same[0].part.title, count, same[0].price, same[0].part.unit, kit=False)
        for same, count in zip(goods, found.singles, strict=True)
    ]
    boxes = [
        Purchase(kit.number, kit.title, Fraction(count), exact(kit.price), "", kit=True)
        for kit, count in zip(kits, found.kits, strict=True)
    ]
    return tuple(sorted((line for line in (*singles, *boxes) if line.count), key=lambda line: line.number))


def _holds(kit: Kit, goods: Sequence[Sequence[PartLine]]) -> dict[int, Fraction]:
    held = {
        place: sum((exact(kit.holds.get(line.part.id, 0)) for line in same), NOTHING)
        for place, same in enumerate(goods)
    }
    return {place: many for place, many in held.items() if many}
