"""What work and parts cost at single prices, in exact fractions.

A library's figures are decimals. As fractions of their written form they sum in any order to the same result, and ties
between bills are ties, not rounding.
"""

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

from diagtree.graph.labour import Labour
from diagtree.model.engine import Build, Engine, Part, PartNumber, Step
from diagtree.model.quantity import Hours, Take

NOTHING = Fraction(0)


# A library writes the same few hundred figures time and again, and they are asked for once a step, build and tree.
@lru_cache(maxsize=4096)
def exact(value: float) -> Fraction:
    """The decimal that a finite number was written as: 0.1 is one tenth."""
    return Fraction(value) if isinstance(value, int) else Fraction(repr(value))


@lru_cache(maxsize=4096)
def mean_hours(hours: Hours) -> Fraction:
    """The Beta-PERT mean with lambda 4, (a + 4m + b) / 6, in hours."""
    return (exact(hours.optimistic) + 4 * exact(hours.likely) + exact(hours.pessimistic)) / 6


def number_for(part: Part, build: Build) -> PartNumber | None:
    """The one number of a part that admits the build; None where none or several do."""
    fitting = [number for number in part.numbers if number.when.admits(build.features)]
    return fitting[0] if len(fitting) == 1 else None


def unit_price(part: Part, build: Build) -> Fraction:
    """The price for one (or for one of the part's unit), in the shop's currency; 0 where no one number fits."""
    number = number_for(part, build)
    return exact(number.price) if number else NOTHING


def quantities(takes: Iterable[Take], build: Build) -> dict[str, Fraction]:
    """How many of each part are taken in a build, in the order first taken. A sum of 0 is left out.

    An amount by a feature for which the build has no number written counts as nothing.
    """
    total: dict[str, Fraction] = {}
    for take in takes:
        amount = take.quantity.of(build.features)
        if amount is not None:
            total[take.part] = total.get(take.part, NOTHING) + exact(amount)
    return {part: quantity for part, quantity in total.items() if quantity}


def parts_price(engine: Engine, build: Build, takes: Iterable[Take]) -> Fraction:
    """The bill at single prices of what is taken, in the shop's currency."""
    return sum(
        (
            quantity * unit_price(engine.parts[part], build)
            for part, quantity in quantities(takes, build).items()
            if part in engine.parts
        ),
        NOTHING,
    )


def step_price(work: Labour, step: Step, rate: float) -> Fraction:
    """k(s): the labour rate times the mean hours, plus what the step takes at single prices."""
    return exact(rate) * mean_hours(step.hours) + parts_price(work.engine, work.build, step.takes)
