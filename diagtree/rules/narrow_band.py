"""A band of a reading that is narrower than twice the reading's uncertainty.

Even a reading in its middle leaves it open on which side the true value lies: the walk will always call it too
close. Use a better gauge, or join the band with its neighbour.

Wrong:
    reading: {unit: kPa, uncertainty: 10}
    answers: {low: {below: 100}, fair: {from: 100, below: 115}, ok: {from: 115}}
Right:
    reading: {unit: kPa, uncertainty: 10}
    answers: {low: {below: 100}, fair: {from: 100, below: 140}, ok: {from: 140}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.ranges import end, ranges, start

ID = "narrow-band"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such band, at its answer."""
    for found in ranges(library):
        gauge = found.check.gauge
        for answer, band in found.bands.items() if gauge else ():
            width = end(band) - start(band)
            if gauge and 0 < width < 2 * gauge.uncertainty:
                message = (
                    f"This band is {width:g} {gauge.unit} wide, less than twice the uncertainty of "
                    f"{gauge.uncertainty:g}, so that no reading in it is clear. Widen it, or use a better gauge."
                )
                yield problem(found.key(library, answer), ID, message, severity=SEVERITY)
