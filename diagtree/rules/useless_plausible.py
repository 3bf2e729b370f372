"""A plausible range that can't do what it is for.

It has a reading asked again that no car gives. Backwards it refuses every reading; inside one band it refuses the
readings that the other answers stand for; and a check without a reading has nothing to hold against it.

Wrong:
    reading: {unit: kPa, uncertainty: 10}
    plausible: {from: 100, to: 900}
    answers: {low: {below: 100}, ok: {from: 100}}
Right:
    reading: {unit: kPa, uncertainty: 10}
    plausible: {from: 0, to: 900}
    answers: {low: {below: 100}, ok: {from: 100}}
"""

from collections.abc import Iterator

from diagtree.model.check import Band, Check
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.ranges import end, ranges, start

ID = "useless-plausible"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such range, at its `plausible`."""
    for one in library.checks.values():
        message = _alone(one)
        if message:
            yield problem(library.key("checks", one.id, "plausible"), ID, message, severity=SEVERITY)
    for found in ranges(library):
        span = found.check.plausible
        if span is None or _alone(found.check):
            continue
        met = [answer for answer, band in found.bands.items() if _meets(span, band)]
        if len(met) < 2 <= len(found.bands):
            on = "" if found.kind == "checks" else f" on '{found.entry}'"
            only = f"only '{met[0]}' can be read{on}" if met else f"no answer can be read{on}"
            message = f"Within this range {only}: a reading of any other answer is refused. Widen it."
            yield problem(library.key("checks", found.check.id, "plausible"), ID, message, severity=SEVERITY)


def _alone(one: Check) -> str:
    """What is wrong whatever the bands are; '' where nothing is."""
    span = one.plausible
    if span is None:
        return ""
    if one.kind != "reading":
        return "This check is answered without a reading, so that no figure can be held against it. Delete it."
    if start(span) >= end(span):
        return f"This range goes from {span.start:g} down to {span.end:g}: no reading is in it. Turn it round."
    return ""


def _meets(span: Band, band: Band) -> bool:
    """Whether a reading can be plausible and in the band; the range holds its own ends, the band only its start."""
    return start(band) <= end(span) and start(span) < end(band)
