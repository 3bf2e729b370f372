"""`diagtree jobs`: the walks that were kept: list, find, show, close, and what else belongs in a job."""

import json
import math
import sys
from argparse import SUPPRESS, ArgumentParser, Namespace
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagtree.cli import sessions, shared, streams

if TYPE_CHECKING:
    from diagtree.jobs.listing import Wanted
    from diagtree.jobs.record import Entry, Job
    from diagtree.jobs.store import Store

NAME = "jobs"
HELP = "the walks that were kept: find, show, close, export"

STATES = ("open", "closed")
STAGES = ("diagnosis", "strip-down", "repair")
HELD = ("yes", "no", "unknown")
MOST = 100
_UNREAD = "The library has errors, so its names can't be looked up."
# What may be done with jobs; without a word they are listed.
WORDS = {
    "list": "the jobs, open ones first",
    "show": "one job with its history",
    "close": "close a job: the faults found, and whether the repair held",
    "reopen": "open a closed job again",
    "authorise": "what the customer authorised, up to a stage",
    "decline": "work steps that the customer declined",
    "note": "a note on a job",
    "picture": "a picture of a job, by its path",
    "vehicle": "name the vehicle of a job",
    "export": "the jobs for other programs: JSON Lines or CSV",
}


def add_arguments(parser: ArgumentParser) -> None:
    """The words, each with its own options; those of the list stand without a word too."""
    _add_wanted(parser, {})
    _add_common(parser, {})
    words = parser.add_subparsers(
        dest="word", metavar="WORD", title="words", help=f"one of {', '.join(WORDS)}", parser_class=shared.Parser
    )
    for name, says in WORDS.items():
        below = words.add_parser(name, help=says, description=f"{says[0].upper()}{says[1:]}.")
        # What stands before the word counts as well: a default here would hide it.
        _add_common(below, {"default": SUPPRESS})
        if name in {"list", "export"}:
            _add_wanted(below, {"default": SUPPRESS})
        else:
            below.add_argument("number", metavar="NUMBER", help="the job's number")
        _ADDED.get(name, _nothing)(below)


def _add_common(parser: ArgumentParser, default: dict[str, Any]) -> None:
    parser.add_argument(
        "--jobs", metavar="FILE", help="where jobs are kept (else $DIAGTREE_JOBS or your own)", **default
    )
    parser.add_argument(
        "--library", metavar="DIR", help="a library's folder or file (else $DIAGTREE_LIBRARY)", **default
    )
    parser.add_argument("--by", metavar="NAME", help="who writes this into the job (else $DIAGTREE_BY)", **default)
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output", **default)


def _add_wanted(parser: ArgumentParser, default: dict[str, Any]) -> None:
    parser.add_argument(
        "--text", metavar="TEXT", help="only with this in number, vehicle, notes, tree or name", **default
    )
    parser.add_argument("--vehicle", metavar="TEXT", help="only with this in the vehicle", **default)
    parser.add_argument("--tree", metavar="ID", help="only of this tree", **default)
    parser.add_argument("--state", choices=STATES, help="only those that are so", **default)
    parser.add_argument("--most", metavar="N", type=int, help=f"list so many (else {MOST})", **default)


def _nothing(parser: ArgumentParser) -> None:
    del parser


def _add_show(parser: ArgumentParser) -> None:
    parser.add_argument("--code", action="store_true", help="with the code that goes on paper")


def _add_close(parser: ArgumentParser) -> None:
    parser.add_argument("--found", metavar="FAULT", nargs="+", action="extend", default=[], help="the faults found")
    parser.add_argument("--held", choices=HELD, default="unknown", help="whether the repair held")


def _add_authorise(parser: ArgumentParser) -> None:
    parser.add_argument("--stage", choices=STAGES, required=True, help="up to the end of this stage")
    parser.add_argument(
        "--amount", metavar="MONEY", required=True, help="as much, in the shop's currency, tax included"
    )


def _add_decline(parser: ArgumentParser) -> None:
    parser.add_argument("steps", nargs="+", metavar="STEP", help="work steps")


def _add_note(parser: ArgumentParser) -> None:
    parser.add_argument("text_", nargs="+", metavar="TEXT", help="the note")
    parser.add_argument("--check", metavar="CHECK", default="", help="the check that it is about")


def _add_picture(parser: ArgumentParser) -> None:
    parser.add_argument("path", metavar="PATH", help="the picture's file, which stays where it is")
    parser.add_argument("--check", metavar="CHECK", default="", help="the check that it is about")


def _add_vehicle(parser: ArgumentParser) -> None:
    parser.add_argument("text_", nargs="+", metavar="TEXT", help="the vehicle")


def _add_export(parser: ArgumentParser) -> None:
    parser.add_argument("--csv", action="store_true", help="CSV in place of JSON Lines: a row for each job")
    parser.add_argument("--history", action="store_true", help="CSV with a row for each entry of each job's history")
    parser.add_argument("--out", metavar="FILE", help="into this file, in UTF-8")


_ADDED: dict[str, Callable[[ArgumentParser], None]] = {
    "show": _add_show,
    "close": _add_close,
    "authorise": _add_authorise,
    "decline": _add_decline,
    "note": _add_note,
    "picture": _add_picture,
    "vehicle": _add_vehicle,
    "export": _add_export,
}


def run(args: Namespace) -> int:
    """List, show, export, or add to a job."""
    word = args.word or "list"
    if word in {"list", "export"}:
        return _list(args) if word == "list" else _export(args)
    args.job = args.number
    job = sessions.stored(args)
    if job is None:
        return shared.refuse(sessions.no_job(args))
    if isinstance(job, str):
        return shared.refuse(job)
    return _show(job, args) if word == "show" else _add(job, _drafts(job, args), args)


def _wanted(args: Namespace) -> "Wanted":
    from diagtree.jobs.listing import Wanted

    return Wanted(args.text or "", args.vehicle or "", args.tree or "", args.state)


def _list(args: Namespace) -> int:
    most = MOST if args.most is None else args.most
    if most < 1:
        return shared.refuse("--most wants a number from 1.")
    store = sessions.opened(args, making=False)
    if isinstance(store, str):
        return shared.refuse(store)
    from diagtree.jobs.handing import Unkept
    from diagtree.jobs.listing import Listing, Wanted, listing
    from diagtree.report import jobs as render

    found = listing(store, _wanted(args), most) if store else Listing((), 0)
    if store:
        store.close()
    if isinstance(found, Unkept):
        return shared.refuse(found.sentence)
    if args.json:
        sys.stdout.write(render.as_json(render.listing_data(found)))
    elif not found.lines:
        sys.stdout.write(f"{render.NONE_YET if _wanted(args) == Wanted() else render.NONE_SUCH}\n")
    else:
        sys.stdout.write(render.listing_text(found, _columns()))
    return shared.DONE


def _columns() -> int:
    from diagtree.report.lines import COLUMNS

    return streams.columns(sys.stdout, COLUMNS)


def _show(job: "Job", args: Namespace) -> int:
    code = _code(args) if args.code else None
    if code is not None and code.startswith("!"):
        return shared.refuse(code[1:])
    return _shown(job, args, code)


def _code(args: Namespace) -> str:
    """The job's code, or behind an exclamation mark why there is none."""
    library = shared.load(args)
    if library is None:
        return "!The library has errors, so no code can be written."
    args.engine, args.build, args.feature = None, None, []
    found = sessions.job_walk(library, Namespace(**{**vars(args), "tree": None}))
    if found is None or isinstance(found, str):
        return f"!{found or sessions.no_job(args)}"
    from diagtree.jobs.paper import code_of

    return code_of(found.session)


def _shown(job: "Job", args: Namespace, code: str | None = None) -> int:
    from diagtree.report import jobs as render

    if args.json:
        sys.stdout.write(render.as_json(render.job_data(job, code)))
    else:
        sys.stdout.write(render.job_text(job, code, _columns()))
    return shared.DONE


def _drafts(job: "Job", args: Namespace) -> "list[Entry] | str":
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


def _noted(_job: "Job", args: Namespace) -> "list[Entry] | str":
    from diagtree.jobs.record import Entry

    text = shared.plain(" ".join(args.text_))
    return [Entry("noted", shared.plain(args.check), note=text)] if text else "Write the note behind the number."


def _picture(_job: "Job", args: Namespace) -> "list[Entry] | str":
    from diagtree.jobs.record import Entry

    path = Path(args.path).absolute()
    there = path.is_file() and str(path).isprintable()
    return [Entry("picture", shared.plain(args.check), str(path))] if there else f"'{path}' is no file."


def _vehicle(_job: "Job", args: Namespace) -> "list[Entry] | str":
    from diagtree.jobs.record import Entry

    return [Entry("vehicle", value=shared.plain(" ".join(args.text_)))]


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


def _add(job: "Job", drafts: "list[Entry] | str", args: Namespace) -> int:
    if isinstance(drafts, str):
        return shared.refuse(drafts)
    from diagtree.jobs.handing import Unkept
    from diagtree.jobs.record import now, signed

    store = sessions.opened(args, making=True)
    if store is None or isinstance(store, str):
        return shared.refuse(store or sessions.no_job(args))
    who = shared.writer(Namespace(by=None) if args.word == "authorise" else args)
    done = store.append(job.number, job.last, [signed(draft, now(), who) for draft in drafts])
    store.close()
    return shared.refuse(done.sentence) if isinstance(done, Unkept) else _said(done.job, len(drafts), args)


def _said(job: "Job", many: int, args: Namespace) -> int:
    if args.json:
        return _shown(job, args)
    from diagtree.report import jobs as render

    lines = [render.said(job, one) for one in job.entries[-many:]]
    sys.stdout.write("".join(f"{shared.safe(f'Job {job.number}: {line}.')}\n" for line in lines))
    return shared.DONE


def _export(args: Namespace) -> int:
    if args.json and (args.csv or args.history):
        return shared.refuse("--json is no CSV: leave one of them out.")
    store = sessions.opened(args, making=False)
    if isinstance(store, str):
        return shared.refuse(store)
    texts = _exported(store, args)
    if args.out:
        return _written(texts, store, args)
    return _streamed(texts, store)


class _Broken(Exception):  # noqa: N818 -- how trouble in the middle of a stream of jobs comes out of it
    """The store failed on the way."""


def _exported(store: "Store | None", args: Namespace) -> Iterator[str]:
    from diagtree.report import jobs_export as render
    from diagtree.report.jobs import as_json, job_data

    jobs = _whole(store, args) if store else iter(())
    if args.json:
        yield as_json({"jobs": [job_data(job) for job in jobs]})
    elif args.history:
        yield from render.entry_rows(jobs)
    else:
        yield from render.job_rows(jobs) if args.csv else render.json_lines(jobs)


def _whole(store: "Store", args: Namespace) -> "Iterator[Job]":
    from diagtree.jobs.handing import Unkept
    from diagtree.jobs.listing import jobs

    for at, job in enumerate(jobs(store, _wanted(args))):
        if isinstance(job, Unkept):
            raise _Broken(job.sentence)
        if args.most is not None and at >= args.most:
            return
        yield job


def _streamed(texts: Iterable[str], store: "Store | None") -> int:
    try:
        for text in texts:
            sys.stdout.write(text)
    except _Broken as broken:
        return shared.refuse(str(broken))
    finally:
        if store:
            store.close()
    return shared.DONE


def _written(texts: Iterable[str], store: "Store | None", args: Namespace) -> int:
    from diagtree.draw.saving import save

    try:
        data = "".join(texts).encode()
    except _Broken as broken:
        return shared.refuse(str(broken))
    finally:
        if store:
            store.close()
    refusal = save(Path(args.out), data)
    if refusal:
        return shared.refuse(refusal.sentence)
    told = json.dumps({"file": args.out}) if args.json else shared.safe(f"Wrote {args.out}.")
    sys.stdout.write(told + "\n")
    return shared.DONE
