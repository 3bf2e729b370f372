"""What checks have shown, in a line each, as it was read."""

from collections.abc import Iterable, Iterator, Mapping

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.tree import Question
from diagtree.reason.finding import Finding
from diagtree.report import offsets
from diagtree.report.readings import recorded_on
from diagtree.walk.replies import Told, Untold
from diagtree.walk.session import Session

NOT_TOLD = "could not be told"


def found(library: Library, engine: Engine, findings: Iterable[Finding]) -> Iterator[str]:
    """The question, the reading where there was one, and the answer."""
    for finding in findings:
        check = library.checks[finding.check]
        answer = check.answer(finding.answer)
        read = _read(library, engine, finding)
        yield " ".join(filter(None, (check.ask, f"{read}:" if read else "", answer.text if answer else finding.answer)))


def told(library: Library, session: Session, places: Mapping[str, Mapping[str, str]]) -> tuple[str, ...]:
    """The same of a walk, in the order in which it was answered, with what could not be told and what was noted.

    Args:
        library: as it was read.
        session: the walk.
        places: tree -> node -> where it stands on the tree's poster, for the trees that the walk came through.
    """
    known = session.known
    named = (
        reply.finding.check if isinstance(reply, Told) else reply.check
        for reply in (*session.preset, *session.replies)
        if isinstance(reply, Told | Untold)
    )
    lines = []
    for name in dict.fromkeys((*named, *known.findings)):
        check = library.checks.get(name)
        if check and name in known.findings:
            said = "".join(found(library, session.case.engine, [known.findings[name]]))
        elif check and name in known.unknown:
            said = f"{check.ask} {NOT_TOLD}"
        else:
            continue
        beside = (f"Note: {known.notes[name]}" if name in known.notes else "", _address(session, name, places))
        lines.append(" ".join(filter(None, (f"{said.rstrip('.')}.", *beside))))
    return tuple(lines)


def _address(session: Session, name: str, places: Mapping[str, Mapping[str, str]]) -> str:
    """Where its question stands on the poster; '' for a check that the walk did not come by."""
    for stop in session.route.stops:
        if isinstance(stop.node, Question) and stop.node.check == name:
            place = places.get(stop.tree.id, {}).get(stop.node.id, "")
            other = f" of '{stop.tree.title}'" if len(places) > 1 else ""
            return f"(Poster{other}: {place})" if place else ""
    return ""


def _read(library: Library, engine: Engine, finding: Finding) -> str:
    """What was read, as it was read; '' where an answer was picked."""
    if finding.values:
        return recorded_on(library, engine, finding)
    if finding.codes is not None:
        return ", ".join(finding.codes)
    return f"{offsets.listed(finding.offset)} crank degrees" if finding.offsets else ""
