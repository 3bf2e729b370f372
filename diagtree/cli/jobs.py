"""`diagtree jobs`: the walks that were kept: list, find, show, close, and what else belongs in a job."""

import re
import sys
from argparse import SUPPRESS, ArgumentParser, Namespace
from collections.abc import Callable, Mapping
from functools import partial
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from diagtree.cli import figures, jobexport, jobwords, sessions, shared, sheets, streams

if TYPE_CHECKING:
    from typing import NoReturn

    from diagtree.jobs.listing import Wanted
    from diagtree.jobs.record import Entry, Job
    from diagtree.model.library import Library
    from diagtree.walk.session import Session

NAME = "jobs"
HELP = "the walks that were kept: find, show, close, export"

STATES = ("open", "closed")
STAGES = ("diagnosis", "strip-down", "repair")
HELD = ("yes", "no", "unknown")
MOST = 100
_UNKNOWN = re.compile(r"argument WORD: invalid choice: '([^']*)'")
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
    parser.error = partial(_refuse, parser)  # type: ignore[method-assign]
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


def _refuse(parser: ArgumentParser, message: str) -> "NoReturn":
    """As any parser does; a word that is none is answered with the word that was meant, if that can be told."""
    unknown = _UNKNOWN.search(message)
    if unknown is None:
        parser.exit(shared.WRONG, f"{parser.prog}: {shared.safe(message)}. `{parser.prog} --help` tells more.\n")
    word = unknown[1]
    if any(map(str.isdigit, word)) and not sessions.wrong_number(word):
        said = f"'{word}' looks like a job's number: `{parser.prog} show {word}` shows that job."
    else:
        said = f"'{word}' is none of its words. {shared.nearest(word, WORDS)} `{parser.prog} --help` tells more."
    parser.exit(shared.WRONG, f"{parser.prog}: {shared.safe(said)}\n")


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
    parser.add_argument(
        "--most", metavar="N", type=figures.whole(1, 10**9), help=f"list so many (else {MOST})", **default
    )


def _nothing(parser: ArgumentParser) -> None:
    del parser


def _add_show(parser: ArgumentParser) -> None:
    parser.add_argument("--code", action="store_true", help="with the code that goes on paper")
    sheets.add_sheet(parser, "the job sheet of its outcome")


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
    unfit = sheets.wrong(args) if word == "show" else ""
    if unfit:
        return shared.refuse(unfit)
    if word in {"list", "export"}:
        return _list(args) if word == "list" else jobexport.export(args, _wanted(args))
    args.job = args.number
    job = sessions.stored(args)
    if job is None:
        return shared.refuse(sessions.no_job(args))
    if isinstance(job, str):
        return shared.refuse(job)
    return _show(job, args) if word == "show" else _add(job, jobwords.drafts(job, args), args)


def _wanted(args: Namespace) -> "Wanted":
    from diagtree.jobs.listing import Wanted

    return Wanted(args.text or "", args.vehicle or "", args.tree or "", args.state)


def _list(args: Namespace) -> int:
    most = MOST if args.most is None else args.most
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
    if not (args.code or args.sheet):
        return _shown(job, args)
    walked = _walked(args)
    if isinstance(walked, str):
        return shared.refuse(walked)
    library, session = walked
    written: dict[str, Any] = {}
    if args.sheet:
        from diagtree.cli.jobsheets import of_outcome
        from diagtree.walk.result import result

        found = of_outcome(library, result(session), job, args)
        if isinstance(found, str):
            return shared.refuse(found)
        written = found
    if not args.code:
        return _shown(job, args, None, written)
    from diagtree.jobs.paper import code_of

    return _shown(job, args, code_of(session), written)


def _walked(args: Namespace) -> "tuple[Library, Session] | str":
    """The library, and the job's walk in it; else why there is none."""
    library = shared.load(args)
    if library is None:
        return "The library has errors, so neither code nor sheet can be written."
    args.engine, args.build, args.feature = None, None, []
    found = sessions.job_walk(library, Namespace(**{**vars(args), "tree": None}))
    if found is None or isinstance(found, str):
        return found or sessions.no_job(args)
    return library, found.session


def _shown(
    job: "Job", args: Namespace, code: str | None = None, written: Mapping[str, Any] = MappingProxyType({})
) -> int:
    from diagtree.report import jobs as render

    if args.json:
        data = render.job_data(job, code)
        sys.stdout.write(render.as_json(data | ({"sheet": dict(written)} if written else {})))
    else:
        said = sheets.sentence(dict(written)) if written else ""
        sys.stdout.write(render.job_text(job, code, _columns()) + said)
    return shared.DONE


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
