"""Jobs for other programs: JSON Lines, exact; CSV (RFC 4180) in which a spreadsheet finds nothing to run."""

import csv
import io
import json
from collections.abc import Iterable, Iterator

from diagtree.jobs.record import ANSWERS, STAGES, Job
from diagtree.report.jobs import job_data

# A cell that begins so may be run as a formula. The wide forms count as well.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\N{FULLWIDTH EQUALS SIGN}", "\N{FULLWIDTH PLUS SIGN}",
            "\N{FULLWIDTH HYPHEN-MINUS}", "\N{FULLWIDTH COMMERCIAL AT}")  # fmt: skip
_QUOTE = "'"
_JOB = ("number", "vehicle", "state", "tree", "engine", "begun", "changed", "answers", "outcome", "found", "held",
        *(f"authorised {stage}" for stage in STAGES), "declined", "notes", "pictures")  # fmt: skip
_ENTRY = ("job", "vehicle", "tree", "engine", "place", "at", "by", "kind", "subject", "value", "typed", "note", "phase",
          "answer",
          "mark")  # fmt: skip


def json_lines(jobs: Iterable[Job]) -> Iterator[str]:
    """A line of JSON for each job, with all of its history."""
    for job in jobs:
        data = job_data(job)
        del data["code"]
        yield json.dumps(data, allow_nan=False) + "\n"


def job_rows(jobs: Iterable[Job]) -> Iterator[str]:
    """CSV with a row for each job."""
    yield _row(_JOB)
    for job in jobs:
        closing, outcome = job.closing, job.outcome
        yield _row(
            (
                job.number, job.vehicle, job.state, job.tree, job.engine, job.begun, job.changed,
                "; ".join(f"{one.subject}={one.value or '?'}" for one in job.standing if one.kind in ANSWERS),
                " ".join(outcome[1]) if outcome else "",
                " ".join(closing.faults) if closing else "",
                closing.held if closing else "",
                *(f"{job.authorised[stage].amount:.2f}" if stage in job.authorised else "" for stage in STAGES),
                " ".join(dict.fromkeys(one.subject for one in job.of("declined"))),
                "; ".join(one.note for one in job.of("noted") if one.note and one.mark not in job.taken_back),
                "; ".join(one.value for one in job.of("picture")),
            )
        )  # fmt: skip


def entry_rows(jobs: Iterable[Job]) -> Iterator[str]:
    """CSV with a row for each entry of each job's history."""
    yield _row(_ENTRY)
    for job in jobs:
        for one in job.entries:
            yield _row(
                (
                    job.number, job.vehicle, job.tree, job.engine, str(one.number), one.at, one.who, one.kind,
                    one.subject, one.value, one.typed, one.note, one.phase, one.answer, one.mark,
                )
            )  # fmt: skip


def cell(text: str) -> str:
    """A text as a spreadsheet shows it: with an apostrophe in front where it could be a formula, or has one already.

    Taking one leading apostrophe away gives the text back.
    """
    return _QUOTE + text if text.startswith((*_FORMULA, _QUOTE)) else text


def _row(cells: Iterable[str]) -> str:
    line = io.StringIO()
    csv.writer(line, lineterminator="\r\n").writerow([cell(text) for text in cells])
    return line.getvalue()
