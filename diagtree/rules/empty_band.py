"""A band of a reading that holds no value.

Its lower end is not below its upper end, so that its answer can never be given. `from` is part of the band, `below`
is not.

Wrong:
    answers: {low: {below: 100}, ok: {from: 200, below: 100}, high: {from: 200}}
Right:
    answers: {low: {below: 100}, ok: {from: 100, below: 200}, high: {from: 200}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.ranges import end, ranges, start

ID = "empty-band"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such band, at its `below`."""
    for found in ranges(library):
        for answer, band in found.bands.items():
            if start(band) >= end(band):
                message = f"No value is from {band.start:g} and below {band.end:g}. Write the lower end in `from`."
                yield problem(found.value(library, answer, "below"), ID, message, severity=SEVERITY)
