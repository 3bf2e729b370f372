"""What an outcome's repair takes, in a line for the box: hours and parts, from the work graph."""

from collections.abc import Mapping
from fractions import Fraction

from diagtree.graph.labour import Labour, closure, labour
from diagtree.graph.pricing import mean_hours, parts_price
from diagtree.graph.serving import builds
from diagtree.model.engine import ONLY, Engine
from diagtree.model.fault import Fault
from diagtree.model.library import Library
from diagtree.model.tree import Tree

_DASH = "\N{EN DASH}"


Spans = Mapping[str, tuple[str, str]]  # outcome's node -> hours and parts, from the least build to the dearest


def bill_lines(library: Library, tree: Tree, engines: tuple[Engine, ...]) -> Mapping[str, tuple[str, ...]]:
    """Node -> a line for each engine: its builds' hours and parts at single prices, from the least to the most."""
    return said(library, {engine.id: spans(library, tree, engine) for engine in engines}, engines)


def said(library: Library, found: Mapping[str, Spans], engines: tuple[Engine, ...]) -> Mapping[str, tuple[str, ...]]:
    """The spans of some engines in words; an engine is named where there are several."""
    currency = library.shop.currency if library.shop else ""
    lines: dict[str, list[str]] = {}
    labels = _labels([engine.title.split(" (", 1)[0] or engine.id for engine in engines])
    for engine, label in zip(engines, labels, strict=True):
        for node, (hours, parts) in found[engine.id].items():
            lines.setdefault(node, []).append(f"{label}{hours} h, parts {parts} {currency}".strip())
    return {node: tuple(each) for node, each in lines.items()}


def _labels(titles: list[str]) -> list[str]:
    """What tells some engines apart, without the words that all of them begin with; nothing for one alone."""
    if len(titles) == 1:
        return [""]
    words = [title.split() for title in titles]
    while all(len(each) > 1 for each in words) and len({each[0] for each in words}) == 1:
        words = [each[1:] for each in words]
    return [f"{' '.join(each)}: " for each in words]


def spans(library: Library, tree: Tree, engine: Engine) -> Spans:
    """What each outcome's repair takes in an engine; nothing where no build has work there."""
    if engine.id == ONLY or not engine.work:
        return {}
    works = [labour(engine, build) for build in builds(engine)]
    found: dict[str, tuple[str, str]] = {}
    for node in tree.outcomes:
        faults = [library.faults[name] for name in node.faults if name in library.faults]
        bills = [bill for work in works if (bill := _bill(faults, work))]
        if any(hours for hours, _ in bills):
            found[node.id] = (
                _span([float(hours) for hours, _ in bills], 1),
                _span([float(parts) for _, parts in bills], 0),
            )
    return found


def _bill(faults: list[Fault], work: Labour) -> tuple[Fraction, Fraction] | None:
    """Hours and parts; None where the build can have none of these faults."""
    here = [fault for fault in faults if fault.when.admits(work.build.features)]
    if not here:
        return None
    done = [work.steps[step] for step in closure(work, [step for fault in here for step in fault.repair])]
    takes = [take for step in done for take in step.takes]
    return sum((mean_hours(step.hours) for step in done), Fraction(0)), parts_price(work.engine, work.build, takes)


def _span(values: list[float], places: int) -> str:
    low, high = (f"{value:.{places}f}" for value in (min(values), max(values)))
    return low if low == high else f"{low}{_DASH}{high}"
