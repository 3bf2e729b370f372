"""What a walk came to, as JSON and as text. The questions on the way are in `question`."""

import json
from collections.abc import Mapping
from typing import Any

from diagtree.model.fault import Fault
from diagtree.model.library import NOTICE
from diagtree.model.tree import Question
from diagtree.reason.belief import Belief
from diagtree.reason.finding import Finding
from diagtree.report import chances, offsets, scope
from diagtree.report.dialogue import caution, fold
from diagtree.report.lines import COLUMNS
from diagtree.report.question import close_call, why_not
from diagtree.report.scope_text import in_all
from diagtree.walk.answers import drive_of
from diagtree.walk.result import Result, faults_found
from diagtree.walk.session import Session
from diagtree.walk.warnings import standing

NOTHING: Mapping[str, Any] = {}
TWO_CAUSES = "The answers do not fit one cause. Look for two, or take the doubtful answers again."


def as_json(result: Result, beside: Mapping[str, Any] = NOTHING) -> str:
    """The result as one JSON object; `beside`: what was written, such as its sheet."""
    return json.dumps(as_data(result) | dict(beside), indent=2, allow_nan=False) + "\n"


def as_data(result: Result) -> dict[str, Any]:
    """The result with ids as in the files.

    `belief` is empty and `conflict` null where the answers contradict one another: `contradiction` then names them.
    """
    session, now = result.session, result.belief
    known = session.known
    stops = session.route.stops
    outcome = session.outcome
    return {
        "tree": session.case.tree.id,
        "engine": session.case.engine.id if session.case.library.engines else None,
        "build": known.builds[0].id if session.case.library.engines and len(known.builds) == 1 else None,
        "features": _features(session),
        "answers": {name: finding.answer for name, finding in known.findings.items()},
        "path": [stop.node.id for stop in stops],
        "outcome": {"node": outcome.id, "faults": list(outcome.faults)} if outcome else None,
        "belief": chances.as_data(now.by_fault) if isinstance(now, Belief) else [],
        "scope": scope.as_dict(result.scope) if result.scope else None,
        "residual": result.residual,
        "conflict": result.conflict,
        "contradiction": [] if isinstance(now, Belief) else list(now.checks),
        "trail": [{"tree": stop.tree.id, "node": stop.node.id} for stop in stops],
        "cannot_tell": sorted(known.unknown),
        "notes": dict(known.notes),
        "readings": {
            name: {"value": finding.value, "unit": _unit(session, name)}
            for name, finding in known.findings.items()
            if finding.value is not None
        },
        "offsets": {name: dict(one.offset) for name, one in known.findings.items() if one.offsets},
        "patterns": {name: _patterns(session, one) for name, one in known.findings.items() if one.offsets},
        "codes": {name: list(one.codes) for name, one in known.findings.items() if one.codes is not None},
        "close_call": list(session.close_calls),
        "notice": NOTICE,
    }


def as_text(result: Result, columns: int = COLUMNS) -> str:
    """The result for people in at most `columns` cells: where the walk came to, the chances, and the scope."""
    session = result.session
    drawn = _offsets(session, columns)
    blocks = [standing_lines(session), _notes(session), drawn, _chances(result), doubts(result), _residual(result)]
    text = "\n".join(fold(block, columns) for block in blocks if block)
    if result.scope:
        return f"{text}\n{scope.as_text(result.scope, columns)}"
    checked = [f"Afterwards: {sentence}" for fault in faults_found(session) for sentence in fault.verify]
    return text + fold(("", *checked, *([""] if checked else []), NOTICE), columns)


def _features(session: Session) -> dict[str, str]:
    """What is known of the engine: all of it once one build is left."""
    builds = session.known.builds
    return {**session.known.features, **(builds[0].features if len(builds) == 1 else {})}


def _unit(session: Session, name: str) -> str:
    gauge = session.case.library.checks[name].gauge
    return gauge.unit if gauge else ""


def standing_lines(session: Session) -> list[str]:
    """Where the walk stands: its outcome, the question that was left open, or why there is no way on."""
    if session.outcome:
        lines = [f"Outcome: {outcome_words(session)}", *(f"  {line}" for line in about_outcome(session))]
        return lines + [f"  {caution(one.caution)}" for one in standing(session)]
    node = session.here.node
    if not isinstance(node, Question):
        return ["The walk stops here: the tree has no way on."]
    check = session.case.library.checks.get(node.check)
    if session.check:
        return [f"The walk stopped before this question: {session.check.ask}"]
    reason = f" {why_not(session, check)}" if check else ""
    return [f"The walk stops here: {check.ask if check else node.check}{reason} The tree has no way on from it."]


def outcome_words(session: Session) -> str:
    """The outcome in words: its faults, those that no possible build can have left out."""
    return chances.one_of([fault.title for fault in possible(session)])


def about_outcome(session: Session) -> list[str]:
    """Why its faults come about, and what the tree notes of the outcome; nothing before one."""
    said = [fault.why for fault in possible(session)]
    return list(filter(None, (*said, session.outcome.note if session.outcome else "")))


def possible(session: Session) -> tuple[Fault, ...]:
    """The outcome's faults that some build can have which the car may be."""
    found = faults_found(session)
    builds = session.known.builds
    return tuple(one for one in found if any(one.when.admits(build.features) for build in builds)) or found


def _notes(session: Session) -> list[str]:
    """What was noted, each with its question."""
    checks = session.case.library.checks
    lines = [f"  {checks[name].ask} {note}" for name, note in session.known.notes.items() if name in checks]
    return ["Notes:", *lines] if lines else []


def _patterns(session: Session, finding: Finding) -> dict[str, float]:
    answers = session.case.library.checks[finding.check].answers
    return {answer.id: share for answer, share in zip(answers, finding.shares, strict=True)}


def _offsets(session: Session, columns: int) -> list[str]:
    """The offsets that were typed against the tooth grid, and the pattern that they make."""
    lines: list[str] = []
    for finding in session.known.findings.values():
        check = session.case.library.checks[finding.check]
        drive = drive_of(check, session.case.engine, finding)
        if drive and drive.uncertainty and drive.pattern and drive.elongation:
            lines.append(f"{check.ask} {_answer_text(session, check.id)}.")
            drawn = offsets.picture(drive.timing, drive.offsets, drive.uncertainty, columns - 2)
            lines += [f"  {line}" for line in drawn]
            if drive.pattern.likeliest == "stretched":
                lines.append(f"  The chain is longer by {offsets.elongation(drive.elongation)}.")
    return lines


def _chances(result: Result) -> list[str]:
    lines = chances_lines(result)
    return [f"{may_be(result)}:", *(f"  {line}" for line in lines)] if lines else []


def may_be(result: Result) -> str:
    """What stands over the chances: of which cars they are, and what they rest on."""
    return f"What it may be, of cars like this ({chances.ground(result.session.tree)})"


def chances_lines(result: Result) -> list[str]:
    """A line for each cause; none where the answers contradict one another."""
    return (
        chances.as_lines(result.session.case.library, result.belief.by_fault)
        if isinstance(result.belief, Belief)
        else []
    )


def doubts(result: Result) -> list[str]:
    """All that speaks against going by the outcome alone: close calls, answers that do not fit, a likelier cause."""
    session = result.session
    lines = [close_call(session, session.known.findings[name]) for name in session.close_calls]
    return lines + doubt(result) + _elsewhere(result)


def _elsewhere(result: Result) -> list[str]:
    """That the answers speak more for another cause than for the outcome, where they do.

    A tree may end in a fault because answers could not be had: nothing should be opened on that alone.
    """
    outcome, now = result.session.outcome, result.belief
    if not outcome or not isinstance(now, Belief) or not now.by_fault:
        return []
    cause, chance = chances.ranked(now.by_fault)[0]
    if cause in outcome.faults or chance <= sum(now.by_fault.get(fault, 0.0) for fault in outcome.faults):
        return []
    library, untold = result.session.case.library, result.session.known.unknown
    asks = [library.checks[name].ask for name in library.checks if name in untold]
    before = "take the doubtful answers again, before anything is opened."
    first = f"First have an answer to what could not be told: {' '.join(asks)}" if asks else f"First {before}"
    return [f"The answers speak more for another cause than for this outcome: {chances.title(library, cause)}. {first}"]


def doubt(result: Result) -> list[str]:
    """That the answers do not fit together, where they do not; no line where they do."""
    if isinstance(result.belief, Belief):
        return [TWO_CAUSES] if result.doubtful else []
    if not result.belief.checks:
        return ["No cause in this tree is known for this build."]
    checks = result.session.case.library.checks
    said = [f"  {checks[name].ask} {_answer_text(result.session, name)}" for name in result.belief.checks]
    return ["These answers contradict one another. Take the doubtful ones again:", *said]


def _answer_text(session: Session, name: str) -> str:
    answer = session.case.library.checks[name].answer(session.known.findings[name].answer)
    return answer.text if answer else ""


def scope_data(result: Result, residual: float | None) -> dict[str, Any]:
    """What stands beside a scope of a job in JSON. `residual`: after that scope, None where it is not known."""
    against = [] if isinstance(result.belief, Belief) else list(result.belief.checks)
    return {"residual": residual, "conflict": result.conflict, "contradiction": against}


def scope_text(result: Result, residual: float | None, columns: int = COLUMNS) -> str:
    """The same for people, in lines of at most `columns` cells; with all doubts."""
    back = [] if residual is None else [come_back("After the work below", residual)]
    return fold([*doubts(result), *back], columns)


def _residual(result: Result) -> list[str]:
    if result.residual is None:
        return []
    bill = [f"The work below: {in_all(result.scope)}."] if result.scope and result.scope.steps else []
    return [*bill, come_back("After the work below", result.residual)]


def come_back(when: str, residual: float) -> str:
    """How often the car would come back. `when`: after which work."""
    return f"{when} {chances.in_hundred(residual)} such cars would come back with another cause."
