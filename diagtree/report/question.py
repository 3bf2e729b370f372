"""A question of a walk in the words and parts in which every screen shows it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

from diagtree.measure.bands import bands_on
from diagtree.model.check import Answer, Check, CheckKind
from diagtree.model.engine import Engine
from diagtree.model.fault import Caution
from diagtree.model.quantity import Hours
from diagtree.model.tree import Question
from diagtree.reason.finding import Finding
from diagtree.report import offsets
from diagtree.report.lines import join
from diagtree.report.readings import clear_readings, limits, recorded
from diagtree.walk.answers import drive_of, takes_offsets, too_close
from diagtree.walk.marks import Mark, marks
from diagtree.walk.replies import Noted, Seen, Told, Turned, Untold
from diagtree.walk.route import Stop
from diagtree.walk.session import Session, passed
from diagtree.walk.warnings import opening, standing

# How an answer is given: picked from a list, or typed into a field.
Manner: TypeAlias = Literal["pick", "type"]
_TYPED: tuple[CheckKind, ...] = ("reading", "codes")


@dataclass(frozen=True, slots=True)
class Choice:
    """An answer as shown."""

    id: str
    text: str


@dataclass(frozen=True, slots=True)
class Asked:
    """The question that stands."""

    tree: str  # title
    ask: str
    manner: Manner
    choices: tuple[Choice, ...]
    hint: str  # what to type; '' where an answer is picked
    about: tuple[str, ...]  # how, tools, what comes off first, waiting: one sentence or two each
    cautions: tuple[Caution, ...]  # of this question, `stop` first
    throughout: tuple[Caution, ...]  # of the trees gone through, and not among the others
    may_skip: bool  # whether 'cannot tell' leads on


def asked(session: Session) -> Asked | None:
    """The question that stands; None where none does."""
    check, node = session.check, session.here.node
    if not check or not isinstance(node, Question):
        return None
    cautions = standing(session)
    return Asked(
        tree=session.tree.title,
        ask=check.ask,
        manner=_manner(check, session),
        choices=tuple(Choice(answer.id, text) for answer, text in _texts(check, session)),
        hint=_hint(check, session.case.engine),
        about=tuple(_about(session, check, node)),
        cautions=tuple(one.caution for one in cautions if one.here),
        throughout=tuple(one.caution for one in cautions if not one.here),
        may_skip=bool(node.otherwise),
    )


def asked_anew(session: Session, check: Check) -> Asked:
    """A question that was answered before, as it is asked again. Its cautions are all warnings: it was begun before."""
    known = session.case.library.cautions
    cautions = [known[name] for name in check.cautions if name in known]
    return Asked(
        tree=session.tree.title,
        ask=check.ask,
        manner=_manner(check, session),
        choices=tuple(Choice(answer.id, text) for answer, text in _texts(check, session)),
        hint=_hint(check, session.case.engine),
        about=tuple(line for line in (check.how, _tools(check)) if line),
        cautions=tuple(one for one in cautions if any(one.when.admits(made.features) for made in session.known.builds)),
        throughout=(),
        may_skip=True,
    )


def _manner(check: Check, session: Session) -> Manner:
    return "type" if check.kind in _TYPED or takes_offsets(check, session.case.engine) else "pick"


def number(session: Session) -> int:
    """The number of the question that stands: one more than the checks answered or given up on the way to it."""
    met = {stop.node.check for stop in session.route.stops[:-1] if isinstance(stop.node, Question)}
    return 1 + len(met & (session.known.findings.keys() | session.known.unknown))


def _texts(check: Check, session: Session) -> list[tuple[Answer, str]]:
    """The answers in words; of a reading with the limits that hold on this engine."""
    if check.kind != "reading":
        return [(answer, _text(check, answer)) for answer in check.answers]
    unit = check.gauge.unit if check.gauge else ""
    shop_units = session.case.library.rates.units
    held = [limits(band, unit, shop_units) for band in bands_on(check, session.case.engine).values()]
    return [
        (answer, f"{answer.text} ({limit})" if limit else answer.text)
        for answer, limit in zip(check.answers, held, strict=True)
    ]


def _text(check: Check, answer: Answer) -> str:
    """An answer in words; of trouble codes with the codes that it takes."""
    if check.kind != "codes":
        return answer.text
    groups = [join(group, "or") for group in answer.groups]
    taken = join((f"({group})" if " or " in group and len(groups) > 1 else group for group in groups), "with")
    return f"{answer.text}: {taken or 'whatever else is stored, or nothing'}"


def _hint(check: Check, engine: Engine) -> str:
    if check.kind == "reading":
        unit = check.gauge.unit if check.gauge else ""
        return f"Type the reading in {unit}, or in another unit with its name." if unit else "Type the reading."
    if check.kind == "codes":
        return "Type the codes, such as P0016+P0018, a scan tool's text with codes in it, @FILE of it, or - for none."
    if takes_offsets(check, engine) and engine.timing:
        example = ",".join(f"{cam}:-4" for cam in engine.timing.cams)
        trace = " Or 'trace FILE', of the crank and camshaft sensors." if engine.timing.sensors else ""
        return f"Type one offset for each camshaft, late below 0, such as {example}, or the pattern itself.{trace}"
    return ""


def _about(session: Session, check: Check, node: Question) -> list[str]:
    off = [step.title for step in opening(session)]
    spoken = {"cold": "The engine must be cold.", "hot": "The engine must be hot."}
    lines = [
        check.how,
        node.note,
        _tools(check),
        f"This comes first: {'; '.join(off)}." if off else "",
        spoken[check.needs] if check.needs else "",
        f"Wait {check.wait:g} h before the answer." if check.wait else "",
        f"Takes about {_hours(check.hours)}." if check.hours.mean else "",
    ]
    return [line for line in lines if line]


def _tools(check: Check) -> str:
    return f"Tools: {', '.join(check.tools)}." if check.tools else ""


def _hours(hours: Hours) -> str:
    minutes = round(hours.mean * 60)
    return f"{minutes} minutes" if minutes < 90 else f"{hours.mean:.1f} hours"


def builds_open(session: Session) -> list[str]:
    """What tells the builds apart that are still possible; no line where one is left."""
    by_feature: dict[str, list[Mark]] = {}
    for mark in marks(session):
        by_feature.setdefault(mark.feature, []).append(mark)
    features = session.case.engine.features
    tells = {name: f" {features[name].tell}" if name in features and features[name].tell else "" for name in by_feature}
    return [
        f"Not known yet: {of[0].title}, {join((mark.value for mark in of), 'or')}.{tells[name]}"
        for name, of in by_feature.items()
    ]


def told(before: Session | None, after: Session) -> list[str]:
    """What a reply came to, beyond the next question: how it was taken, and what was passed by itself."""
    lines = [
        line
        for name, finding in after.known.findings.items()
        if before and before.known.findings.get(name) != finding
        for line in _taken(after, finding)
    ]
    lines += [line for stop in passed(before, after) if (line := _passing(after, stop))]
    return [*(_changed(before, after) if before else ()), *lines]


def _changed(before: Session, after: Session) -> Iterator[str]:
    """What a note, another tree, or an answer given anew came to. Nothing of `back`, which only takes back."""
    if len(after.replies) <= len(before.replies):
        return
    checks = after.case.library.checks
    match after.replies[-1]:
        case Noted(name, text):
            yield f"Noted of '{name}': {text}" if text else f"The note of '{name}' is taken away."
        case Turned():
            yield f"On in another tree: {after.tree.title}. All answers are kept."
        case Seen(without=without) if without:
            yield from (f"This fits no longer and is taken out: {checks[name].ask}" for name in sorted(without))
        case Told(Finding(check=name)) | Untold(name) if name in before.known.findings or name in before.known.unknown:
            yield from _off_the_way(before, after)
        case _:
            pass


def _off_the_way(before: Session, after: Session) -> Iterator[str]:
    """Answers that a new one leaves without a question on the way, or that it would not have let come about."""
    checks = after.case.library.checks
    asked_now = {stop.node.check for stop in after.route.stops if isinstance(stop.node, Question)}
    asked_then = {stop.node.check for stop in before.route.stops if isinstance(stop.node, Question)}
    for name in after.known.findings:
        forbidden = after.known.forbidden_by(checks[name])
        if forbidden and not before.known.forbidden_by(checks[name]):
            reason = why_not(after, checks[name])
            yield f"This does not fit any more: {checks[name].ask} {reason} It counts all the same."
        elif name in asked_then - asked_now:
            yield f"Not asked on this way, but it still counts: {checks[name].ask} {_words(after, name)}."


def _words(session: Session, name: str) -> str:
    finding = session.known.findings[name]
    answer = session.case.library.checks[name].answer(finding.answer)
    return answer.text if answer else finding.answer


def _taken(session: Session, finding: Finding) -> list[str]:
    library = session.case.library
    check = library.checks[finding.check]
    answer = check.answer(finding.answer)
    text = answer.text if answer else finding.answer
    lines = []
    if finding.value is not None:
        mean = f", the mean of {len(finding.values)} readings" if len(finding.values) > 1 else ""
        lines.append(f"{recorded(session, finding)}{mean}: {text}.")
    if finding.codes is not None:
        named = [f"{code} ({library.codes[code]})" if code in library.codes else code for code in finding.codes]
        lines.append(f"{join(named) or 'No code stored'}: {text}.")
    if finding.offsets:
        mean = f", the mean of {len(finding.offsets)} sets" if len(finding.offsets) > 1 else ""
        within = f", each within {max(finding.uncertainties):.2g} (k = 2)" if finding.uncertainties else ""
        lines.append(f"{offsets.listed(finding.offset)} crank degrees{mean}{within}: {text}.")
        lines += [f"Mind: {remark}" for remark in finding.remarks]
    if too_close(finding):
        lines.append(close_call(session, finding))
    return lines


def as_taken(session: Session, finding: Finding) -> list[str]:
    """What a reply would be taken for, before it is given."""
    if finding.value is None and finding.codes is None and not finding.offsets:
        return [f"{_answered(session, finding)}."]
    taken = _taken(session, finding)
    return [taken[0], "Too close to call: take it again."] if too_close(finding) else taken


def _answered(session: Session, finding: Finding) -> str:
    answer = session.case.library.checks[finding.check].answer(finding.answer)
    return answer.text if answer else finding.answer


def figure(value: float) -> str:
    """A reading as shown again: five digits, more than any gauge has, also where it was typed in another unit."""
    return f"{value:.5g}" if abs(value) < 1e5 else f"{value:g}"


def close_call(session: Session, finding: Finding) -> str:
    """That a reading lies too near a limit to be sure of its answer, or that no pattern of offsets is clear."""
    check = session.case.library.checks[finding.check]
    drive = drive_of(check, session.case.engine, finding)
    if drive:
        return offsets.unclear(drive, reply=True)
    kept = "counts together with the first" if check.independent else "replaces this one"
    return (
        f"Too close to call: {check.ask} The reading lies so near a limit that '{finding.answer}' is not sure. "
        f"{clear_readings(session, finding)} Take it again: type 'again' and the new reading; it {kept}."
    )


def _passing(session: Session, stop: Stop) -> str:
    """What to say of a node that was passed; '' where nothing needs saying."""
    library = session.case.library
    if not isinstance(stop.node, Question):
        following = _after(session, stop)
        note = f" {stop.node.note}" if stop.node.note else ""
        return f"On in another tree: {following.tree.title}. All answers are kept.{note}" if following else ""
    check = library.checks[stop.node.check]
    if stop.passing == "answered":
        finding = session.known.findings[check.id]
        answer = check.answer(finding.answer)
        return f"Known already: {check.ask} {answer.text if answer else finding.answer}."
    if stop.passing == "cannot-tell":
        return f"Could not be told before: {check.ask}"
    return f"Left out: {check.ask} {why_not(session, check)}"


def why_not(session: Session, check: Check) -> str:
    """Why a check is not asked here."""
    forbidden = session.known.forbidden_by(check)
    if not session.known.applies(check):
        return "It does not apply to this build."
    if forbidden:
        other = session.case.library.checks[forbidden]
        answer = other.answer(session.known.findings[forbidden].answer)
        return f"It is not done after this answer: {other.ask} {answer.text if answer else ''}."
    return ""


def _after(session: Session, stop: Stop) -> Stop | None:
    stops = session.route.stops
    place = stops.index(stop) + 1
    return stops[place] if place < len(stops) else None
