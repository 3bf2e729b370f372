"""What checks have shown, in a line each, as it was read."""

from collections.abc import Iterable, Iterator

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.reason.finding import Finding
from diagtree.report import offsets
from diagtree.report.readings import recorded_on


def found(library: Library, engine: Engine, findings: Iterable[Finding]) -> Iterator[str]:
    """The question, the reading where there was one, and the answer."""
    for finding in findings:
        check = library.checks[finding.check]
        answer = check.answer(finding.answer)
        read = _read(library, engine, finding)
        yield " ".join(filter(None, (check.ask, f"{read}:" if read else "", answer.text if answer else finding.answer)))


def _read(library: Library, engine: Engine, finding: Finding) -> str:
    """What was read, as it was read; '' where an answer was picked."""
    if finding.values:
        return recorded_on(library, engine, finding)
    if finding.codes is not None:
        return ", ".join(finding.codes)
    return f"{offsets.listed(finding.offset)} crank degrees" if finding.offsets else ""
