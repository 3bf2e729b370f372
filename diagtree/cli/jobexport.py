"""`diagtree jobs export`: the jobs for other programs, to standard output or into a file."""

import json
import sys
from argparse import Namespace
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import sessions, shared

if TYPE_CHECKING:
    from diagtree.jobs.listing import Wanted
    from diagtree.jobs.record import Job
    from diagtree.jobs.store import Store


def export(args: Namespace, wanted: "Wanted") -> int:
    """Write the jobs that are wanted."""
    if args.json and (args.csv or args.history):
        return shared.refuse("--json is no CSV: leave one of them out.")
    store = sessions.opened(args, making=False)
    if isinstance(store, str):
        return shared.refuse(store)
    texts = _exported(store, wanted, args)
    if args.out:
        return _written(texts, store, args)
    return _streamed(texts, store)


class _Broken(Exception):  # noqa: N818 -- how trouble in the middle of a stream of jobs comes out of it
    """The store failed on the way."""


def _exported(store: "Store | None", wanted: "Wanted", args: Namespace) -> Iterator[str]:
    from diagtree.report import jobs_export as render
    from diagtree.report.jobs import as_json, job_data

    jobs = _whole(store, wanted, args) if store else iter(())
    if args.json:
        yield as_json({"jobs": [job_data(job) for job in jobs]})
    elif args.history:
        yield from render.entry_rows(jobs)
    else:
        yield from render.job_rows(jobs) if args.csv else render.json_lines(jobs)


def _whole(store: "Store", wanted: "Wanted", args: Namespace) -> "Iterator[Job]":
    from diagtree.jobs.handing import Unkept
    from diagtree.jobs.listing import jobs

    for at, job in enumerate(jobs(store, wanted)):
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
