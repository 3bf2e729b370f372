"""Jobs as people read them, and as JSON."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from datetime import datetime, tzinfo
from typing import TYPE_CHECKING, Any

from diagtree.jobs.allowance import STAGE_WORDS
from diagtree.jobs.record import ANSWERS, STAGES, Entry, Job, moment, money
from diagtree.report.lines import COLUMNS, cells, hang, pad, wrap

if TYPE_CHECKING:
    from diagtree.jobs.listing import Line, Listing

NONE_YET = "No jobs are kept here yet. A walk on a terminal is one from its first answer."
NONE_SUCH = "No job fits. `diagtree jobs` alone lists them all."
_HELD = {"yes": "the repair held", "no": "the repair did not hold", "unknown": "not known whether the repair held"}


def listing_data(listing: "Listing") -> dict[str, Any]:
    """`{jobs: [...], more}`: open ones first, the last touched first."""
    return {"jobs": [_line_data(line) for line in listing.lines], "more": listing.more}


def _line_data(line: "Line") -> dict[str, Any]:
    outcome = None if line.outcome is None else {"faults": list(line.outcome)}
    return {**asdict(line), "outcome": outcome}


def listing_text(listing: "Listing", columns: int = COLUMNS, zone: tzinfo | None = None) -> str:
    """A line or two for each job; times are of the place where it is read."""
    rows: list[str] = []
    wide = max((cells(line.number) for line in listing.lines), default=0)
    for state in ("open", "closed"):
        lines = [line for line in listing.lines if line.state == state]
        rows += [f"{state.capitalize()}:"] if lines else []
        for line in lines:
            rows += hang(f"  {pad(line.number, wide, right=True)}", _about(line, zone), wide + 4, columns)
    if listing.more:
        rows += wrap(f"And {listing.more} more: --most N lists so many.", columns)
    return _lines(rows)


def _lines(rows: Iterable[str]) -> str:
    """Rows as text. A store may come from anywhere: nothing that a terminal would obey is left in it."""
    return "".join("".join(c if c.isprintable() else " " for c in row) + "\n" for row in rows)


def _about(line: "Line", zone: tzinfo | None) -> str:
    came = f", came to {' and '.join(line.outcome)}" if line.outcome else ""
    held = f", {_HELD[line.held]}" if line.held else ""
    engine = f" on {line.engine}" if line.engine else ""
    vehicle = f"{line.vehicle}. " if line.vehicle else ""
    return f"{vehicle}{line.tree}{engine}{came}{held}. Last touched {clock(line.changed, zone)}."


def clock(at: str, zone: tzinfo | None = None) -> str:
    """A moment of a job in local time, to the minute."""
    found = moment(at)
    return _local(found, zone) if found else at


def _local(found: datetime, zone: tzinfo | None) -> str:
    return found.astimezone(zone).strftime("%Y-%m-%d %H:%M")


def job_data(job: Job, code: str | None = None) -> dict[str, Any]:
    """A job with ids as in the files, and its whole history. Times are UTC, ISO 8601."""
    found, closing = job.outcome, job.closing
    return {
        "number": job.number,
        "vehicle": job.vehicle,
        "tree": job.tree,
        "engine": job.engine or None,
        "library": job.library,
        "state": job.state,
        "begun": job.begun,
        "changed": job.changed,
        "features": {one.subject: one.value for one in job.replies if one.kind == "seen" and one.subject},
        "build": next((one.value for one in reversed(job.replies) if one.kind == "seen" and not one.subject), None),
        "answers": {one.subject: _answer(one) for one in job.replies if one.kind in ANSWERS},
        "outcome": {"node": found[0], "faults": list(found[1])} if found else None,
        "notes": [_note(one) for one in job.of("noted") if one.mark not in job.taken_back],
        "pictures": [{"path": one.value, "check": one.subject or None, "at": one.at} for one in job.of("picture")],
        "authorised": [asdict(job.authorised[stage]) for stage in STAGES if stage in job.authorised],
        "declined": list(dict.fromkeys(one.subject for one in job.of("declined"))),
        "closed": asdict(closing) if closing else None,
        "code": code,
        "history": [asdict(one) for one in job.entries],
    }


def _answer(one: Entry) -> dict[str, Any]:
    value = None if one.kind == "cannot-tell" else one.value
    return {
        "answer": one.answer or None,
        "value": value,
        "typed": one.typed or None,
        "at": one.at,
        "by": one.who or None,
    }


def _note(one: Entry) -> dict[str, Any]:
    return {"text": one.note, "check": one.subject or None, "at": one.at, "by": one.who or None}


def job_text(job: Job, code: str | None = None, columns: int = COLUMNS, zone: tzinfo | None = None) -> str:
    """A job: how it stands, then its history line by line."""
    vehicle = f", {job.vehicle}" if job.vehicle else ""
    head = wrap(f"Job {job.number}{vehicle}: {job.state}", columns)
    rows = [*head, *(row for line in _standing(job) for row in hang("  ", line, 2, columns)), "", "History:"]
    for one in job.entries:
        by = f" ({one.who})" if one.who else ""
        rows += hang(f"  {clock(one.at, zone)}", f"{said(job, one)}{by}", 20, columns)
    rows += (
        ["", "Code, to go on at another bench by `diagtree walk --from CODE`:", *_code(code, columns)] if code else []
    )
    return _lines(rows)


def _standing(job: Job) -> Iterator[str]:
    engine = f" on {job.engine}" if job.engine else ""
    yield f"Tree {job.tree}{engine}."
    for one in job.standing:
        if one.kind in ANSWERS:
            yield f"{one.subject}: {one.value or 'cannot tell'}{_meant(one)}{_typed(one)}"
        elif one.kind == "seen":
            yield f"{one.subject or 'build'}: {one.value}"
    if job.outcome:
        yield f"Outcome: {' and '.join(job.outcome[1])}."
    for stage in STAGES:
        if stage in job.authorised:
            told = job.authorised[stage]
            yield f"Authorised for {_stage(stage)}: {told.amount:.2f}{f', by {told.by}' if told.by else ''}."
    closing = job.closing
    if closing:
        yield f"Closed: {' and '.join(closing.faults) or 'no fault named'}, {_HELD[closing.held]}."


def _typed(one: Entry) -> str:
    """How an answer was typed, where that is not how it reads."""
    plain = one.value.partition(" ")[0].removesuffix(".0")
    return f" (typed as {one.typed})" if one.value and one.typed and one.typed not in {one.value, plain} else ""


def _meant(one: Entry) -> str:
    """What a reading, offsets or codes came to."""
    return f", {one.answer}" if one.answer not in {"", one.value} else ""


def _money(text: str) -> str:
    found = money(text)
    return text if found is None else f"{found:.2f}"


def _stage(name: str) -> str:
    return next((words for stage, words in STAGE_WORDS.items() if stage == name), name)


def said(job: Job, one: Entry) -> str:  # noqa: PLR0911 -- a sentence a kind
    """An entry of the history in words."""
    about = f"{one.subject}: " if one.subject else ""
    match one.kind:
        case "answered" | "revised" | "seen":
            anew = "anew, " if one.kind == "revised" else ""
            known = ", known before the walk" if one.phase == "start" else ""
            return f"{anew}{about or 'build: '}{one.value}{_meant(one)}{_typed(one)}{known}"
        case "cannot-tell":
            return f"{about}cannot tell"
        case "taken-back":
            gone = next((other for other in job.entries if other.mark == one.subject), None)
            return f"taken back: {said(job, gone)}" if gone and gone.kind != "taken-back" else "taken back"
        case "aside":
            return f"came too late, without effect: {about}{one.value or 'cannot tell'}"
        case "closed":
            return f"closed, {_HELD.get(one.value, one.value)}"
        case "authorised":
            by = f", by {one.note}" if one.note else ""
            return f"authorised for {_stage(one.subject)}: {_money(one.value)}{by}"
        case "outcome":
            return f"outcome: {one.value}" if one.subject else "the outcome was left again"
        case "noted":
            return f"note: {about}{one.note}" if one.note else f"note taken away: {one.subject}"
    if one.kind == "library":
        revision = f", revision {one.note} of the tree" if one.note else ""
        return f"library {one.value}{revision}"
    words = {"turned": "on in the tree", "found": "found", "vehicle": "vehicle"}
    word = words.get(one.kind, one.kind)
    return " ".join(filter(None, (word, one.subject, one.value)))


def _code(code: str, columns: int) -> list[str]:
    """A code in lines that end between groups."""
    lines = [""]
    for group in code.split("-"):
        if lines[-1] and len(lines[-1]) + 1 + len(group) > columns - 2:
            lines.append("")
        lines[-1] += f"-{group}" if lines[-1] else group
    return [f"  {line}{'-' if at < len(lines) - 1 else ''}" for at, line in enumerate(lines)]


def as_json(data: dict[str, Any]) -> str:
    """One JSON object."""
    return json.dumps(data, indent=2, allow_nan=False) + "\n"
