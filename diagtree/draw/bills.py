"""What an outcome's repair takes, in a line for the box: hours and parts, from the work graph."""

import math
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from diagtree.graph.labour import Labour, closure
from diagtree.graph.pricing import NOTHING, mean_hours, parts_price
from diagtree.model.engine import ONLY, Engine
from diagtree.model.fault import Fault
from diagtree.model.library import Library
from diagtree.model.tree import Tree

DASH = "\N{EN DASH}"


Span = tuple[float, float]  # the least build and the dearest
Spans = Mapping[str, tuple[Span, Span]]  # outcome's node -> hours and parts


def said(
    library: Library, found: Mapping[str, Spans], engines: tuple[Engine, ...], *, widest: bool = False
) -> Mapping[str, tuple[str, ...]]:
    """The spans of some engines in words; an engine is named where there are several.

    `widest`: no bill of some of these builds alone is longer than these. For room to be kept.
    """
    currency = library.shop.currency if library.shop else ""
    lines: dict[str, list[str]] = {}
    for engine, label in zip(engines, labels(engines), strict=True):
        for node, (hours, parts) in found[engine.id].items():
            took = f"{_span(hours, 1, widest=widest)} h, parts {_span(parts, 0, widest=widest)} {currency}"
            lines.setdefault(node, []).append(f"{label}{took}".strip())
    return {node: tuple(each) for node, each in lines.items()}


def labels(engines: tuple[Engine, ...]) -> list[str]:
    """What tells some engines apart, without the words that all of them begin with; nothing for one alone."""
    if len(engines) == 1:
        return [""]
    words = [(engine.title.split(" (", 1)[0] or engine.id).split() for engine in engines]
    while all(len(each) > 1 for each in words) and len({each[0] for each in words}) == 1:
        words = [each[1:] for each in words]
    return [f"{' '.join(each)}: " for each in words]


def spans(library: Library, tree: Tree, works: Sequence[Labour]) -> Spans:
    """What each outcome's repair takes in an engine, by the work of its builds; nothing where none has work there."""
    known: dict[frozenset[str], Fraction] = {}
    tariffs = [_Tariff(work, known) for work in works if work.engine.id != ONLY and work.engine.work]
    found: dict[str, tuple[Span, Span]] = {}
    for node in tree.outcomes if tariffs else ():
        faults = [library.faults[name] for name in node.faults if name in library.faults]
        bills = [bill for tariff in tariffs if (bill := tariff.bill(faults))]
        if any(hours for hours, _ in bills):
            hours, parts = zip(*bills, strict=True)
            found[node.id] = (float(min(hours)), float(max(hours))), (float(min(parts)), float(max(parts)))
    return found


class _Tariff:
    """The steps of a build, each priced when it is first asked for: repairs share most of them."""

    def __init__(self, work: Labour, hours: dict[frozenset[str], Fraction]) -> None:
        self.work = work
        self.hours = hours  # of steps together: the same in every build of an engine
        self.prices: dict[str, Fraction] = {}

    def bill(self, faults: list[Fault]) -> tuple[Fraction, Fraction] | None:
        """Hours and parts; None where the build can have none of these faults."""
        here = [fault for fault in faults if fault.when.admits(self.work.build.features)]
        if not here:
            return None
        done = closure(self.work, [step for fault in here for step in fault.repair])
        hours = self.hours.get(done)
        if hours is None:
            hours = self.hours[done] = _total(mean_hours(self.work.steps[step].hours) for step in done)
        return hours, _total(self._price(step) for step in done)

    def _price(self, name: str) -> Fraction:
        found = self.prices.get(name)
        if found is None:
            takes = self.work.steps[name].takes
            found = parts_price(self.work.engine, self.work.build, takes) if takes else NOTHING
            self.prices[name] = found
        return found


def _total(values: Iterable[Fraction]) -> Fraction:
    """Their sum, over the least common denominator once instead of step by step."""
    some = [value for value in values if value]
    below = math.lcm(*(value.denominator for value in some))
    return Fraction(sum(value.numerator * (below // value.denominator) for value in some), below)


def _span(span: Span, places: int, *, widest: bool) -> str:
    low, high = (f"{value:.{places}f}" for value in span)
    if low == high:
        return low
    return f"{high if widest else low}{DASH}{high}"
