"""What somebody typed for a check, read as a finding or refused with a sentence."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from diagtree.measure import bands, patterns
from diagtree.measure.codes import matching_answer, parse_codes
from diagtree.measure.drive import Drive, weigh
from diagtree.measure.offsets import Offsets, parse_offsets
from diagtree.measure.readings import parse_reading
from diagtree.measure.trouble import Trouble, quote
from diagtree.model.check import OFFSET_ANSWERS, Band, Check
from diagtree.model.engine import Engine
from diagtree.reason.finding import Finding, plain

_LONGEST_NUMBER = 4  # digits; no list of answers is longer


@dataclass(frozen=True, slots=True)
class Refused:
    """Why a reply was not taken, in one sentence or two, with what to do instead."""

    sentence: str


def read_finding(check: Check, engine: Engine, text: str) -> Finding | Refused:
    """Read an answer: its id, its number on screen, a reading, trouble codes, or one offset for each camshaft.

    An id that equals what was typed comes first. A number on screen counts only where the answers are a list to
    choose from: elsewhere it would be mistaken for a reading.
    """
    text = text.strip()
    named = check.answer(text) or check.answer(text.lower())
    if named:
        return plain(check, named.id)
    if check.kind == "reading":
        return _read_reading(check, engine, text)
    if check.kind == "codes":
        return _read_codes(check, text)
    if takes_offsets(check, engine):
        return _read_offsets(check, engine, text)
    return _read_choice(check, text)


def read_again(check: Check, engine: Engine, text: str, earlier: Finding) -> Finding | Refused:
    """Read offsets once more: those that are typed replace the earlier ones, unless repeats count as independent."""
    return _read_offsets(check, engine, text, None if check.independent else earlier.offset)


def takes_offsets(check: Check, engine: Engine) -> bool:
    """Whether a check is answered with one offset for each camshaft; without `timing` the pattern is said outright."""
    return check.kind == "offsets" and engine.timing is not None and check.offset_uncertainty > 0


def repeated(check: Check, engine: Engine, earlier: Finding | None, new: Finding) -> Finding:
    """What stands after a check was answered again: the new finding, or both where repeats are independent."""
    if not (check.independent and earlier):
        return new
    if earlier.values and new.values:
        return _weighed(check, engine, (*earlier.values, *new.values))
    if earlier.offsets and new.offsets:
        return _patterned(check, engine, (*earlier.offsets, *new.offsets))
    return new


def too_close(finding: Finding) -> bool:
    """Whether a reading or a pattern is too close to call: no answer holds 95 % of it."""
    return not bands.clear(finding.shares)


def _read_choice(check: Check, text: str) -> Finding | Refused:
    if text.isascii() and text.isdigit() and len(text) <= _LONGEST_NUMBER and 1 <= int(text) <= len(check.answers):
        return plain(check, check.answers[int(text) - 1].id)
    ids = ", ".join(answer.id for answer in check.answers)
    said = f"{quote(text)} is no answer here." if text else "No answer was given."
    if check.kind == "offsets" and any(character.isdigit() for character in text):
        said = "The engine's `timing` is not written, so offsets cannot be weighed: say which pattern they make."
    return Refused(f"{said} Give a number from 1 to {len(check.answers)}, or one of: {ids}.")


def _read_reading(check: Check, engine: Engine, text: str) -> Finding | Refused:
    unit = check.gauge.unit if check.gauge else ""
    reading = parse_reading(text, unit)
    if isinstance(reading, Trouble):
        return Refused(reading.message)
    span = check.plausible
    if span and not _holds(span, reading.value):
        return Refused(f"{reading.typed} is not plausible here{_between(span, unit)}. Read the gauge again.")
    return _weighed(check, engine, (reading.value,))


def _weighed(check: Check, engine: Engine, values: tuple[float, ...]) -> Finding:
    stretches = tuple(bands.bands_on(check, engine).values())
    value, uncertainty = bands.combine(values, check.gauge.uncertainty if check.gauge else 0.0)
    steering = check.answers[bands.band_of(value, stretches)].id
    return Finding(check.id, steering, bands.weigh(value, uncertainty, stretches), values)


def _read_offsets(
    check: Check, engine: Engine, text: str, known: Mapping[str, float] | None = None
) -> Finding | Refused:
    if text.lower() in OFFSET_ANSWERS:
        ids = ", ".join(answer.id for answer in check.answers)
        return Refused(f"{quote(text)} cannot be seen with this check on this engine. Give one of: {ids}.")
    found = parse_offsets(text, tuple(engine.timing.cams) if engine.timing else (), known)
    if isinstance(found, Trouble):
        return Refused(f"{found.message} Or say the pattern: {', '.join(answer.id for answer in check.answers)}.")
    return _patterned(check, engine, (found,))


def drive_of(check: Check, engine: Engine, finding: Finding) -> Drive | None:
    """What the offsets of a finding say of the engine's chain drive; None where none were typed."""
    if not finding.offsets or engine.timing is None:
        return None
    return weigh(engine.timing, finding.offset, _standing(check, len(finding.offsets)), _listed(check))


def _standing(check: Check, many: int) -> float:
    """The expanded uncertainty of the mean of so many sets of offsets."""
    return check.offset_uncertainty / math.sqrt(many)


def _listed(check: Check) -> list[str]:
    return [answer.id for answer in check.answers]


def _patterned(check: Check, engine: Engine, taken: tuple[Offsets, ...]) -> Finding:
    """The finding of one or more sets of offsets: their mean, with U / sqrt(n)."""
    assert engine.timing is not None
    finding = Finding(check.id, "", (), offsets=taken)
    found = patterns.pattern(engine.timing, finding.offset, _standing(check, len(taken)), _listed(check))
    return replace(finding, answer=found.likeliest, shares=tuple(found.shares.values()))


def _read_codes(check: Check, text: str) -> Finding | Refused:
    codes = parse_codes(text)
    if isinstance(codes, Trouble):
        return Refused(codes.message)
    answer = matching_answer(frozenset(codes), [(answer.id, answer.groups) for answer in check.answers])
    if answer is None:
        ids = ", ".join(one.id for one in check.answers)
        return Refused(f"No answer of this check fits these codes. Give one of: {ids}.")
    return Finding(check.id, answer, plain(check, answer).shares, codes=codes)


def _holds(span: Band, value: float) -> bool:
    return (span.start is None or value >= span.start) and (span.end is None or value < span.end)


def _between(span: Band, unit: str) -> str:
    if span.start is None:
        return f" (it should be below {span.end:g} {unit})"
    if span.end is None:
        return f" (it should be {span.start:g} {unit} or more)"
    return f" (it should be from {span.start:g} to {span.end:g} {unit})"
