"""A part or a kit that costs nothing, or a part that has no number at all.

Every scope with it is cheaper than the bill, and a kit for nothing is bought each time. A part without a number that a
step takes is an error of its own (`missing-number`); here are those that nothing takes yet. In a library without
`shop` costs are shown in hours, and a price of 0 is fine.

Wrong:
    parts:
      primary-chain: {title: Primary chain, numbers: [{number: BV-2101, price: 0}]}
      guide: {title: Guide}
Right:
    parts:
      primary-chain: {title: Primary chain, numbers: [{number: BV-2101, price: 84}]}
      guide: {title: Guide, numbers: [{number: BV-2110, price: 31}]}
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import stands
from diagtree.rules.takings import taken

ID = "part-without-price"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such part, at its id, and for each price of 0, at the price."""
    for engine in library.engines.values():
        used = frozenset(taken(library, engine))
        for part in engine.parts.values():
            if not part.numbers and part.id not in used and not _written(library, engine, part.id):
                message = "This part has no number and no price. Write them before a step takes it."
                yield problem(library.key("engine", engine.id, "parts", part.id), ID, message, severity=SEVERITY)
        if library.shop:
            yield from _free(library, engine)


def _written(library: Library, engine: Engine, part: str) -> bool:
    """Whether a number stands there that could not be read."""
    return stands(library, "engine", engine.id, "parts", part, "numbers", 0)


def _free(library: Library, engine: Engine) -> Iterator[Problem]:
    for part in engine.parts.values():
        for index, number in enumerate(part.numbers):
            path = ("parts", part.id, "numbers", index, "price")
            if not number.price and stands(library, "engine", engine.id, *path):
                message = f"'{number.number}' costs nothing. Write its price."
                yield problem(library.value("engine", engine.id, *path), ID, message, severity=SEVERITY)
    for index, kit in enumerate(engine.kits):
        if not kit.price and stands(library, "engine", engine.id, "kits", index, "price"):
            message = f"'{kit.number}' costs nothing, and is bought wherever it fits. Write its price."
            yield problem(library.value("engine", engine.id, "kits", index, "price"), ID, message, severity=SEVERITY)
