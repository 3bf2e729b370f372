"""Replies of a walk as entries of a job, and back as what a walk can read."""

import json
from collections.abc import Iterator, Sequence
from typing import TypeVar

from diagtree.jobs.record import Entry, Kind, Phase
from diagtree.measure.offsets import as_text
from diagtree.reason.finding import Finding
from diagtree.walk.replies import Case, Noted, Reply, Seen, Told, Turned, Untold
from diagtree.walk.session import Session

_Item = TypeVar("_Item")


def entry(case: Case, reply: Reply, phase: Phase, typed: str = "") -> Entry:
    """A reply as an entry."""
    match reply:
        case Told(finding, anew):
            kind: Kind = "revised" if anew else "answered"
            return Entry(kind, finding.check, answer_text(case, finding), typed, "", phase, finding.answer)
        case Untold(check):
            return Entry("cannot-tell", check, "", typed, "", phase)
        case Seen(feature, value, without, instead):
            return Entry("seen", feature, value, typed, _taken_out(without, instead), phase)
        case Noted(check, text):
            return Entry("noted", check, "", typed, text, phase)
        case Turned(tree):
            return Entry("turned", tree, "", typed, "", phase)


def _taken_out(without: frozenset[str], instead: frozenset[str]) -> str:
    """The checks and features that a feature took out, as JSON; nothing where it took out none."""
    return json.dumps({"checks": sorted(without), "features": sorted(instead)}) if without or instead else ""


def taken_out(note: str) -> tuple[frozenset[str], frozenset[str]]:
    """The checks and features that a feature took out; none where another program wrote the note."""
    try:
        found = json.loads(note or "{}")
        return frozenset(map(str, found.get("checks", ()))), frozenset(map(str, found.get("features", ())))
    except (AttributeError, TypeError, ValueError):
        return frozenset(), frozenset()


def answer_text(case: Case, finding: Finding) -> str:
    """A finding as text that reads as the same finding: an answer's id, a reading with its unit, offsets, codes.

    Of repeated readings that count together each is a reply of its own; the last one is meant.
    """
    if finding.codes is not None:
        return "+".join(finding.codes) or "-"
    if finding.offsets:
        return as_text(finding.offsets[-1], finding.uncertainties[-1] if finding.uncertainties else None)
    if finding.values:
        check = case.library.checks.get(finding.check)
        unit = check.gauge.unit if check and check.gauge else ""
        return f"{_figure(finding.values[-1])} {unit}".strip()
    return finding.answer


def _figure(value: float) -> str:
    """A number as text that reads as the very same number."""
    return repr(value).removesuffix(".0")


def library(case: Case, figure: str) -> Entry:
    """Under what replies are given: the library's digest, and the revision of the tree that is walked."""
    return Entry("library", case.tree.id, figure, note=case.tree.revision)


def known(case: Case) -> Iterator[Entry]:
    """What was known of the engine before the first reply."""
    from diagtree.graph.serving import matching_builds

    if len(case.builds) == 1 and len(matching_builds(case.engine, case.known)) > 1:
        yield Entry("seen", "", case.builds[0].id, phase="start")
    for feature, value in case.known.items():
        yield Entry("seen", feature, value, phase="start")


def outcome(session: Session) -> tuple[str, str]:
    """Subject and value of the entry that says to what outcome a walk came; both empty before one."""
    found = session.outcome
    return (f"{session.tree.id}/{found.id}", " ".join(found.faults)) if found else ("", "")


def changed(before: Sequence[_Item], after: Sequence[_Item]) -> tuple[slice, slice]:
    """The stretch of `before` that gave way to a stretch of `after`: what stands before and behind them is the same."""
    most = min(len(before), len(after))
    head = next((at for at in range(most) if before[at] != after[at]), most)
    tail = next((at for at in range(most - head) if before[-1 - at] != after[-1 - at]), most - head)
    return slice(head, len(before) - tail), slice(head, len(after) - tail)
