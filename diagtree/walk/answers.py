"""What somebody typed for a check, read as a finding or refused with a sentence."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

# What reads one kind of answer is imported where it is read: a walk meets few kinds, and `next` often none.
from diagtree.measure import bands
from diagtree.measure.trouble import Trouble, quote
from diagtree.model.check import OFFSET_ANSWERS, Band, Check
from diagtree.model.engine import Engine
from diagtree.reason.finding import Finding, plain

if TYPE_CHECKING:
    from diagtree.measure.drive import Drive
    from diagtree.measure.offsets import Offsets

_FARTHEST = 1e15  # in any unit; a slip of the keys shows more
FILE = "@"  # before the name of a file that holds the answer
TRACE = "trace "  # the same in words, where offsets are asked for
AGAINST = " against "  # between the name of a trace and that of a good one
_LONGEST_NUMBER = 4  # digits; no list of answers is longer


@dataclass(frozen=True, slots=True)
class Refused:
    """Why a reply was not taken, in one sentence or two, with what to do instead."""

    sentence: str


def read_finding(check: Check, engine: Engine, text: str) -> Finding | Refused:
    """Read an answer: its id, its number on screen, a reading, trouble codes, or one offset for each camshaft.

    `@FILE` is a scan tool's report where codes are asked for, and a trace of the sensors where offsets are (or
    `trace FILE`, with `against GOOD` behind it where the engine keeps no good pattern). The finding holds what stood in
    it: the file is not needed again.

    An id that equals what was typed comes first. A number on screen counts only where the answers are a list to
    choose from: elsewhere it would be mistaken for a reading.
    """
    text = text.strip()
    named = check.answer(text) or check.answer(text.lower())
    if named:
        return plain(check, named.id)
    if check.kind == "offsets" and text.lower().startswith(TRACE):
        text = FILE + text[len(TRACE) :]
    if text.startswith(FILE):
        return _read_file(check, engine, text[len(FILE) :].strip())
    if check.kind == "reading":
        return _read_reading(check, engine, text)
    if check.kind == "codes":
        return _read_codes(check, text)
    if takes_offsets(check, engine):
        return _read_offsets(check, engine, text)
    return _read_choice(check, text)


def read_again(check: Check, engine: Engine, text: str, earlier: Finding) -> Finding | Refused:
    """Read offsets once more: those that are typed replace the earlier ones, unless repeats count as independent."""
    if text.strip().lower().startswith((FILE, TRACE)):
        return read_finding(check, engine, text)
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
        both = (*earlier.offsets, *new.offsets)
        return _patterned(check, engine, both, (*_each(check, earlier), *_each(check, new)))
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
    from diagtree.measure.readings import parse_reading

    unit = check.gauge.unit if check.gauge else ""
    reading = parse_reading(text, unit)
    if isinstance(reading, Trouble):
        return Refused(reading.message)
    if abs(reading.value) > _FARTHEST:
        return Refused(f"No gauge shows {quote(reading.typed)[1:-1]}. Read it again.")
    span = check.plausible
    if span and not _holds(span, reading.value):
        return Refused(
            f"{quote(reading.typed)[1:-1]} is not plausible here{_between(span, unit)}. Read the gauge again."
        )
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
    from diagtree.measure.offsets import parse_measured

    found = parse_measured(text, tuple(engine.timing.cams) if engine.timing else (), known)
    if isinstance(found, Trouble):
        return Refused(f"{found.message} Or say the pattern: {', '.join(answer.id for answer in check.answers)}.")
    offsets, uncertainty = found
    return _patterned(check, engine, (offsets,), _larger(check, uncertainty))


def _larger(check: Check, uncertainty: float | None) -> tuple[float, ...]:
    """The uncertainty that offsets bring along, where it is larger than the check's; none else.

    The check's holds what no scatter shows: how well wheels and sensors of two engines agree.
    """
    return (uncertainty,) if uncertainty is not None and uncertainty > check.offset_uncertainty else ()


def _read_file(check: Check, engine: Engine, named: str) -> Finding | Refused:
    """The answer that a file holds."""
    if check.kind == "codes":
        from diagtree.measure.codes import scan_codes
        from diagtree.measure.files import read_text

        text = read_text(named)
        codes = text if isinstance(text, Trouble) else scan_codes(text)
        return Refused(codes.message) if isinstance(codes, Trouble) else _matched(check, codes)
    if takes_offsets(check, engine):
        return _read_trace(check, engine, named)
    return Refused("A file answers a check of trouble codes or of camshaft offsets only. Type the answer itself.")


def _read_trace(check: Check, engine: Engine, named: str) -> Finding | Refused:
    """The offsets of a trace of the sensors, against a good trace or the pattern that the engine keeps."""
    from diagtree.measure.tracing import from_files  # here, so that a walk without a trace does not load numpy for it

    assert engine.timing is not None
    path, _, good = named.partition(AGAINST)
    traced = from_files(engine.timing, path.strip(), good.strip())
    if isinstance(traced, Trouble):
        return Refused(traced.message)
    missing = [cam for cam in engine.timing.cams if cam not in traced.offsets]
    if missing:
        return Refused(
            f"{quote(path)} gives no offset for {', '.join(missing)}. Record every camshaft, or type offsets."
        )
    found = _patterned(check, engine, (tuple(traced.offsets.items()),), _larger(check, traced.uncertainty))
    return replace(found, remarks=traced.doubts)


def drive_of(check: Check, engine: Engine, finding: Finding) -> "Drive | None":
    """What the offsets of a finding say of the engine's chain drive; None where none were typed."""
    if not finding.offsets or engine.timing is None:
        return None
    from diagtree.measure.drive import weigh

    return weigh(engine.timing, finding.offset, _standing(_each(check, finding)), _listed(check))


def _each(check: Check, finding: Finding) -> tuple[float, ...]:
    """The expanded uncertainty of each set of offsets."""
    return finding.uncertainties or (check.offset_uncertainty,) * len(finding.offsets)


def _standing(each: tuple[float, ...]) -> float:
    """The expanded uncertainty of the mean of sets of offsets."""
    return math.hypot(*each) / len(each)


def _listed(check: Check) -> list[str]:
    return [answer.id for answer in check.answers]


def _patterned(
    check: Check, engine: Engine, taken: "tuple[Offsets, ...]", uncertainties: tuple[float, ...] = ()
) -> Finding:
    """The finding of one or more sets of offsets: their mean, with the uncertainty of a mean."""
    from diagtree.measure import patterns

    assert engine.timing is not None
    finding = Finding(check.id, "", (), offsets=taken, uncertainties=uncertainties)
    found = patterns.pattern(engine.timing, finding.offset, _standing(_each(check, finding)), _listed(check))
    return replace(finding, answer=found.likeliest, shares=tuple(found.shares.values()))


def _read_codes(check: Check, text: str) -> Finding | Refused:
    from diagtree.measure.codes import read_codes

    codes = read_codes(text)
    return Refused(codes.message) if isinstance(codes, Trouble) else _matched(check, codes)


def _matched(check: Check, codes: tuple[str, ...]) -> Finding | Refused:
    """The finding of stored codes; those that no answer names are kept in it."""
    from diagtree.measure.codes import matching_answer

    answer = matching_answer(frozenset(codes), [(answer.id, answer.groups) for answer in check.answers])
    if answer is None:
        ids = ", ".join(one.id for one in check.answers)
        return Refused(f"No answer of this check fits these codes. Give one of: {ids}.")
    return Finding(check.id, answer, plain(check, answer).shares, codes=codes)


def _holds(span: Band, value: float) -> bool:
    """Whether a plausible range holds a value: both of its ends do."""
    return (span.start is None or value >= span.start) and (span.end is None or value <= span.end)


def _between(span: Band, unit: str) -> str:
    if span.start is None:
        return f" (it should be {span.end:g} {unit} or less)"
    if span.end is None:
        return f" (it should be {span.start:g} {unit} or more)"
    return f" (it should be from {span.start:g} to {span.end:g} {unit})"
