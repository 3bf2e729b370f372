"""The way so far: what was asked on it, what was told, and what can be told anew."""

from dataclasses import dataclass

from diagtree.model.tree import Question
from diagtree.walk.access import taken_off
from diagtree.walk.changes import Given, given
from diagtree.walk.session import Session

_CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Passed:
    """Something that was told."""

    given: Given
    ask: str
    answer: str
    note: str


def passed_by(session: Session) -> tuple[Passed, ...]:
    """All that was told, in the order in which it was first told."""
    return tuple(_passed(session, one) for one in given(session))


def _passed(session: Session, one: Given) -> Passed:
    if one.feature:
        feature = session.case.engine.features.get(one.feature)
        return Passed(one, feature.title if feature else "Build", _seen(session, one.feature), "")
    check = session.case.library.checks[one.check]
    return Passed(one, check.ask, shown(session, one.check), session.known.notes.get(one.check, ""))


def _seen(session: Session, feature: str) -> str:
    if feature in session.known.features:
        return session.known.features[feature]
    return ", ".join(build.id for build in session.known.identified)


def shown(session: Session, check: str) -> str:
    """A check's answer in words: 'Below the limit (95 kPa)'; '' where it was not asked."""
    finding = session.known.findings.get(check)
    if finding is None:
        return _CANNOT_TELL if check in session.known.unknown else ""
    asked = session.case.library.checks[check]
    answer = asked.answer(finding.answer)
    text = answer.text if answer else finding.answer
    if finding.value is not None:
        return f"{text} ({finding.value:.5g} {asked.gauge.unit if asked.gauge else ''}".rstrip() + ")"
    if finding.codes:
        return f"{text} ({'+'.join(finding.codes)})"
    return text


def way_lines(session: Session) -> list[str]:
    """Each question that led here with its answer, then what else was told; notes behind them."""
    on_way = [stop.node.check for stop in session.route.stops if isinstance(stop.node, Question)]
    met = [name for name in dict.fromkeys(on_way) if name in session.known.findings or name in session.known.unknown]
    lines = [_line(session, name) for name in met]
    further = [one for one in passed_by(session) if one.given.name not in met]
    return lines + [f"{one.ask} {one.answer}. (not asked on this way){_noted(one.note)}" for one in further]


def _line(session: Session, check: str) -> str:
    ask = session.case.library.checks[check].ask
    return f"{ask} {shown(session, check)}.{_noted(session.known.notes.get(check, ''))}"


def _noted(note: str) -> str:
    return f" Note: {note}" if note else ""


def off_lines(session: Session) -> list[str]:
    """What is off the car, in the order of the engine's work."""
    return [f"{one.step.title}{'' if one.sure else ' (on some builds)'}" for one in taken_off(session)]
