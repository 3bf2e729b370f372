"""What a word of `diagtree jobs` adds to a job: the entries, or the sentence that says why not."""

import math
from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import shared

if TYPE_CHECKING:
    from collections.abc import Callable

    from diagtree.jobs.record import Entry, Job

_UNREAD = "The library has errors, so its names can't be looked up."


def drafts(job: "Job", args: Namespace) -> "list[Entry] | str":
    """What a word adds to a job; else the sentence that says why not."""
    makers: dict[str, Callable[[Job, Namespace], list[Entry] | str]] = {
        "close": _closing,
        "reopen": _reopened,
        "authorise": _authorised,
        "decline": _declined,
        "note": _noted,
        "picture": _picture,
        "vehicle": _vehicle,
    }
    return makers[args.word](job, args)


def _reopened(job: "Job", _args: Namespace) -> "list[Entry] | str":
    from diagtree.jobs.record import Entry

    return [Entry("reopened")] if job.closing else f"Job {job.number} is open."


def _declined(job: "Job", args: Namespace) -> "list[Entry] | str":
    from diagtree.jobs.record import Entry

    library = shared.load(args)
    if library is None:
        return _UNREAD
    engine = library.engines.get(job.engine)
    for step in args.steps if engine else ():
        if engine and step not in engine.work:
            return f"The engine '{engine.id}' has no work step '{step}'. {shared.nearest(step, engine.work)}"
    return [Entry("declined", shared.plain(step)) for step in args.steps]


def _noted(job: "Job", args: Namespace) -> "list[Entry] | str":
    from diagtree.jobs.record import Entry

    text = shared.plain(" ".join(args.text_))
    wrong = _no_check(job, args) if text else "Write the note behind the number."
    return wrong or [Entry("noted", shared.plain(args.check), note=text)]


def _picture(job: "Job", args: Namespace) -> "list[Entry] | str":
    from diagtree.jobs.record import Entry

    path = Path(args.path).absolute()
    there = path.is_file() and str(path).isprintable()
    wrong = _no_check(job, args) if there else f"'{args.path}' is no file."
    return wrong or [Entry("picture", shared.plain(args.check), str(path))]


def _no_check(job: "Job", args: Namespace) -> str:
    """The sentence that there is no such check, neither in the job nor in the library; '' where there is."""
    if not args.check or any(one.subject == args.check for one in job.replies):
        return ""
    library = shared.load(args)
    if library is None:
        return _UNREAD
    known = args.check in library.checks
    return "" if known else f"The library has no check '{args.check}'. {shared.nearest(args.check, library.checks)}"


def _vehicle(_job: "Job", args: Namespace) -> "list[Entry] | str":
    from diagtree.jobs.record import Entry

    text = shared.plain(" ".join(args.text_))
    return [Entry("vehicle", value=text)] if text else "Write the vehicle behind the number."


def _closing(job: "Job", args: Namespace) -> "list[Entry] | str":
    from diagtree.jobs.record import Entry
    from diagtree.model.fault import OTHER

    if job.closing:
        return f"Job {job.number} is closed already. `diagtree jobs reopen {job.number}` opens it again."
    found = list(dict.fromkeys(args.found))
    if not found and args.held != "unknown":
        return f"Say with --found what was found, '{OTHER}' for a cause that the library does not have."
    library = shared.load(args) if found else None
    if found and library is None:
        return _UNREAD
    for fault in found:
        if library and fault not in library.faults and fault != OTHER:
            return f"The library has no fault '{fault}'. {shared.nearest(fault, [*library.faults, OTHER])}"
    return [Entry("closed", value=args.held), *(Entry("found", fault) for fault in found)]


def _authorised(_job: "Job", args: Namespace) -> "list[Entry] | str":
    from diagtree.jobs.record import Entry

    try:
        amount = float(args.amount.replace(",", "."))
    except ValueError:
        amount = math.nan
    if not 0 <= amount < 1e12:
        return f"'{args.amount}' is no amount. Write money without its currency, such as 95 or 95.50."
    # Whoever is named here is who gave the word; who wrote it down is said by $DIAGTREE_BY.
    return [Entry("authorised", args.stage, repr(amount), note=shared.plain(args.by))]
