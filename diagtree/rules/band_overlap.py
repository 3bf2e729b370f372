"""Bands of a reading that share values.

A gauge that shows such a value has two answers. `from` is part of a band, `below` is not, so that bands meet where
the same number ends one and begins the next.

Wrong:
    answers: {low: {below: 110}, ok: {from: 100}}
Right:
    answers: {low: {below: 100}, ok: {from: 100}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.ranges import Ranges, ascending, end, ranges, start

ID = "band-overlap"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each band that begins inside one before it, at its `from`."""
    for found in ranges(library):
        yield from _overlaps(library, found)


def _overlaps(library: Library, found: Ranges) -> Iterator[Problem]:
    reached, before = float("-inf"), ""
    for answer, band in ascending(found):
        if start(band) < reached:
            shared = _span(start(band), min(reached, end(band)))
            message = f"A reading {shared} is both '{before}' and '{answer}'. Let the bands meet in one number."
            yield problem(found.value(library, answer, "from"), ID, message, severity=SEVERITY)
        if end(band) > reached:
            reached, before = end(band), answer
        elif not before:
            before = answer


def _span(low: float, high: float) -> str:
    if low == float("-inf"):
        return "of any size" if high == float("inf") else f"below {high:g}"
    return f"from {low:g} up" if high == float("inf") else f"from {low:g} to {high:g}"
