"""Bands of a reading that leave values out.

A gauge that shows such a value has no answer. The bands tile the whole line, also those that an engine moves with
`limits`, which replace the check's all together.

Wrong:
    answers: {low: {below: 100}, ok: {from: 110}}
Right:
    answers: {low: {below: 100}, ok: {from: 100}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.ranges import Ranges, ascending, end, ranges, start
from diagtree.rules.survey import stands
from diagtree.rules.wording import listed, meant

ID = "band-gap"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each gap, at the band above it or, at the upper end, below it; and for answers left out."""
    for found in ranges(library):
        answers = [answer.id for answer in found.check.answers]
        if not all(start(band) < end(band) for band in found.bands.values()):
            continue  # an empty band has its own problem
        if all(name in found.bands for name in answers):
            yield from _gaps(library, found)
        elif found.kind == "engine":
            yield from _left_out(library, found, answers)


def _gaps(library: Library, found: Ranges) -> Iterator[Problem]:
    reached, last = float("-inf"), ""
    for answer, band in ascending(found):
        if start(band) > reached:
            message = f"No answer holds a reading {_span(reached, start(band))}. Let the bands meet."
            yield problem(found.value(library, answer, "from"), ID, message, severity=SEVERITY)
        if end(band) >= reached:
            reached, last = end(band), answer
    if reached < float("inf"):
        message = f"No answer holds a reading from {reached:g} up. Leave `below` out in the highest band, or add one."
        yield problem(found.value(library, last, "below"), ID, message, severity=SEVERITY)


def _span(low: float, high: float) -> str:
    return f"below {high:g}" if low == float("-inf") else f"from {low:g} to {high:g}"


def _left_out(library: Library, found: Ranges, answers: list[str]) -> Iterator[Problem]:
    place = library.key(found.kind, found.entry, *found.path)
    moved = library.engines[found.entry].limits[found.check.id]
    misspelt = meant((name for name in moved if name not in answers), answers)
    absent = [
        name
        for name in answers
        if name not in moved
        and name not in misspelt
        and not stands(library, found.kind, found.entry, *found.path, name)
    ]
    if absent:
        message = f"These limits replace all bands of the check and leave out {listed(absent)}. Add what is missing."
        yield problem(place, ID, message, severity=SEVERITY)
