"""One number with two prices: of two parts, of two kits, or of a part and a kit.

A number is what is ordered, and it has one price. Two prices mean that one is old, or that a number is mistyped and
hides another kit or part; the cheapest buying then follows the wrong one. Parts of different units are not compared.

Wrong:
    parts:
      primary-chain: {title: Primary chain, numbers: [{number: BV-2101, price: 84}]}
    kits:
      - {number: BV-2101, title: Timing kit, price: 389, holds: {primary-chain: 1}}
Right:
    kits:
      - {number: BV-K10, title: Timing kit, price: 389, holds: {primary-chain: 1}}
"""

from collections.abc import Iterator
from typing import NamedTuple

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem

ID = "hidden-kit-number"
SEVERITY: Severity = "warning"


class _Priced(NamedTuple):
    """A number with its price, and where it stands."""

    number: str
    unit: str
    price: float
    engine: str
    path: tuple[str | int, ...]
    owner: str


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each price that is not the first one of its number, at the number."""
    first: dict[tuple[str, str], _Priced] = {}
    for one in _priced(library):
        before = first.setdefault((one.number, one.unit), one)
        if before.price != one.price:
            message = (
                f"'{one.number}' costs {one.price:g} here, and {before.price:g} as {before.owner}. "
                "Correct the number or the price."
            )
            yield problem(library.value("engine", one.engine, *one.path, "number"), ID, message, severity=SEVERITY)


def _priced(library: Library) -> Iterator[_Priced]:
    for engine in library.engines.values():
        for part in engine.parts.values():
            for index, number in enumerate(part.numbers):
                path = ("parts", part.id, "numbers", index)
                owner = f"part '{part.id}' of '{engine.id}'"
                yield _Priced(number.number, part.unit, number.price, engine.id, path, owner)
        for index, kit in enumerate(engine.kits):
            owner = f"kit '{kit.title}' of '{engine.id}'"
            yield _Priced(kit.number, "", kit.price, engine.id, ("kits", index), owner)
