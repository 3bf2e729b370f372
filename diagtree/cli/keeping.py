"""How a walk is kept: as which job, in which store, begun by a code, or not at all."""

import sys
from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagtree.cli import sessions, shared

if TYPE_CHECKING:
    from diagtree.jobs.handing import Unkept
    from diagtree.jobs.keeping import JobKeeper
    from diagtree.jobs.store import Store
    from diagtree.model.library import Library
    from diagtree.walk.keeping import Keeper
    from diagtree.walk.session import Session


@dataclass(frozen=True, slots=True)
class Begun:
    """A walk about to begin or to go on, and what keeps it."""

    session: "Session"
    keeper: "Keeper | None"
    job: "JobKeeper | None" = None  # the keeper, where it writes a job


def add_arguments(parser: ArgumentParser) -> None:
    """What a walk may say of its job beyond `--job` and `--jobs`."""
    parser.add_argument("--vehicle", metavar="TEXT", help="the vehicle, as the job shall name it")
    shared.add_writer(parser)
    parser.add_argument("--no-job", action="store_true", help="keep nothing of this walk")
    parser.add_argument("--from", dest="code", metavar="CODE", help="go on from the code of a job on paper")


def begun(library: "Library", args: Namespace, *, typed: bool) -> Begun | str:
    """The walk with its keeper; else the sentence that says why not.

    Args:
        library: today's.
        args: of the command.
        typed: whether somebody sits at a terminal. A pipe keeps a job only where `--job` names one.
    """
    if args.no_job and (args.job is not None or args.vehicle):
        return "--no-job keeps nothing: leave it out, or --job and --vehicle."
    found = sessions.job_walk(library, args) if args.job is not None else None
    if isinstance(found, str):
        return found
    if found:
        return _going_on(found, args, typed=typed)
    if args.job is not None and args.tree is None and args.code is None:
        return sessions.no_job(args)
    return _new(library, args, typed=typed)


def ended(begun: Begun, session: "Session | None") -> None:
    """Keep what is still waiting, and say what could not be kept, with a code that the walk goes on from.

    Args:
        begun: the walk as it began.
        session: as it was left; None where it was interrupted.
    """
    job = begun.job
    if job is None:
        return
    if job.job or job.unsaved:
        job.flush(session)
    if job.unsaved:
        from diagtree.jobs.paper import code_of

        lost = f"{job.unsaved} of your replies could not be saved. Go on from them later with this code:"
        _tell(f"{lost} diagtree walk --from {code_of(job.session)}")
    job.close()


def _going_on(found: sessions.JobWalk, args: Namespace, *, typed: bool) -> Begun | str:
    job = found.job
    if args.code is not None:
        return f"Job {job.number} is there already. Leave --from out, or take another number."
    if job.closing:
        return f"Job {job.number} is closed. `diagtree jobs reopen {job.number}` opens it again."
    from datetime import UTC, datetime

    from diagtree.jobs.allowance import watch
    from diagtree.jobs.keeping import GoingOn, JobKeeper, Terms
    from diagtree.jobs.waits import told

    vehicle = f" ({shared.safe(job.vehicle)})" if job.vehicle else ""
    head = f"Job {job.number}{vehicle} goes on."
    ready = told(found.session, job, datetime.now(UTC))
    passed = watch(found.session, job)
    news = tuple(filter(None, (head, *found.news, ready, passed.say if passed else "")))
    terms = Terms("", shared.writer(args), shared.plain(args.vehicle), news, typed)
    going_on = GoingOn(job, found.replayed.start, found.replayed.walked)
    keeper = JobKeeper(_opening(args), found.replayed.session, terms, going_on)
    kept = keeper.flush(found.session)  # what the options add
    if keeper.unsaved:
        return kept.say
    return Begun(kept.session, keeper, keeper)


def _new(library: "Library", args: Namespace, *, typed: bool) -> Begun | str:
    news: tuple[str, ...] = ()
    if args.code is None:
        session = sessions.fresh(library, args)
    else:
        session, news = _from_code(library, args)
    if isinstance(session, str):
        return session
    if args.no_job or not (typed or args.job is not None):
        from diagtree.walk.keeping import Unrecorded

        return Begun(session, Unrecorded(news) if news else None)
    from diagtree.jobs.keeping import JobKeeper, Terms

    terms = Terms(args.job or "", shared.writer(args), shared.plain(args.vehicle), news, typed)
    keeper = JobKeeper(_opening(args), session, terms)
    if args.job is not None:  # asked for by name: it must be kept, or the walk does not begin
        store = sessions.opened(args, making=True)
        if isinstance(store, str):
            return store
        if store:
            store.close()
        keeper.flush(session)
    else:
        _load_early()
    return Begun(session, keeper, keeper)


def _from_code(library: "Library", args: Namespace) -> "tuple[Session | str, tuple[str, ...]]":
    """The walk of a code with what the options add, and what to tell of it."""
    from diagtree.jobs.code import Damaged
    from diagtree.jobs.paper import read_code

    found = read_code(library, args.code)
    if isinstance(found, Damaged):
        return found.sentence, ()
    case = found.replayed.session.case
    for stated, own, what in ((args.tree, case.tree.id, "tree"), (args.engine, case.engine.id, "engine")):
        if stated is not None and stated != own:
            return f"The code is of the {what} '{own}', not '{stated}'. Leave it out.", ()
    changed = ["The library is another than the one that the code was written under."] if found.changed else []
    gone = [f"An answer of the code no longer fits, and was left out: {one.why}" for one in found.replayed.misfits]
    return sessions.added(found.replayed.session, args), (*changed, *gone)


def _opening(args: Namespace) -> "_Opening":
    return _Opening(args)


class _Opening:
    """Opens the store when it is called."""

    def __init__(self, args: Namespace) -> None:
        self._args = args

    def __call__(self) -> "Store | Unkept":
        found = sessions.opening(self._args, making=True)
        assert found is not None
        return found


def _load_early() -> None:
    """Load the database's module while the first question is read: the first answer is then kept without a wait."""
    from importlib import import_module
    from threading import Thread

    Thread(target=import_module, args=("diagtree.jobs.store",)).start()


def _tell(sentence: str) -> None:
    if sys.stderr is not None and not sys.stderr.closed:
        sys.stderr.write(shared.safe(sentence) + "\n")
