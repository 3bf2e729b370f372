"""A walk's beginning from a command's options: tree, engine, build, answers known; or the job that holds them."""

import sys
from argparse import Namespace
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagtree.cli import shared
from diagtree.cli.answers import known_answers

if TYPE_CHECKING:
    from diagtree.jobs.handing import Unkept
    from diagtree.jobs.record import Job
    from diagtree.jobs.replay import Ground, Replayed
    from diagtree.jobs.store import Store
    from diagtree.model.engine import Build, Engine
    from diagtree.model.library import Library
    from diagtree.walk.session import Session


@dataclass(frozen=True, slots=True)
class JobWalk:
    """A job under today's library."""

    job: "Job"
    replayed: "Replayed"  # as it is kept
    session: "Session"  # with what the command's options add
    news: tuple[str, ...]  # that the library changed, and what no longer fits


def begun(library: "Library", args: Namespace) -> "Session | str":
    """The walk with what is known before it; else the sentence that says why not.

    With `--job` it is that job's; what no longer fits is told on standard error.
    """
    found = begun_job(library, args)
    return found if isinstance(found, str) else found[0]


def begun_job(library: "Library", args: Namespace) -> "tuple[Session, Job | None] | str":
    """The same, with the job that holds it."""
    if getattr(args, "job", None) is None:
        session = fresh(library, args)
        return session if isinstance(session, str) else (session, None)
    found = job_walk(library, args)
    if found is None:
        return no_job(args)
    if isinstance(found, str):
        return found
    news = found.news
    if args.command == "next":  # what is to be done next costs money that somebody must have agreed to
        from diagtree.jobs.allowance import watch

        passed = watch(found.session, found.job)
        news += (passed.say,) if passed else ()
    if sys.stderr is not None and not sys.stderr.closed:
        sys.stderr.write("".join(f"{shared.safe(line)}\n" for line in news))
    return found.session, found.job


def fresh(library: "Library", args: Namespace) -> "Session | str":
    """A walk that no job holds."""
    if args.tree is None:
        return f"Name a tree. {shared.nearest('', library.trees)}"
    tree = shared.choose_tree(library, args.tree)
    if isinstance(tree, str):
        return tree
    chosen = shared.choose_car(library, args, tree)
    if isinstance(chosen, str):
        return chosen
    answers = known_answers(args)
    if isinstance(answers, str):
        return answers

    from diagtree.walk.replies import Case
    from diagtree.walk.session import Session, begin

    engine, known, builds = chosen
    session = begin(Case(library, tree, engine, builds, known))
    if answers and isinstance(session, Session):
        from diagtree.walk.moves import preset

        session = preset(session, answers)
    return session if isinstance(session, Session) else session.sentence


def job_walk(library: "Library", args: Namespace) -> "JobWalk | str | None":
    """The walk of `--job`, with what the other options add; a sentence where it can't be had, None where there is no
    such job.
    """
    job = stored(args)
    if job is None or isinstance(job, str):
        return job
    ground = _ground(library, job, args)
    if isinstance(ground, str):
        return ground

    from diagtree.jobs.digest import digest
    from diagtree.jobs.replay import replay
    from diagtree.walk.answers import Refused

    found = replay(ground, job.replies)
    if isinstance(found, Refused):
        return found.sentence
    session = added(found.session, args)
    if isinstance(session, str):
        return session
    changed = digest(found.session.case) != job.library
    return JobWalk(job, found, session, _news(job, found, changed=changed))


@dataclass(frozen=True, slots=True)
class Bay:
    """The car in the bay: what it may be, and what checks have opened of it."""

    engine: "Engine"
    builds: "tuple[Build, ...]"  # those still possible, at least one
    opened: "dict[str, tuple[str, ...]] | None" = None  # check -> steps; None where no job says
    session: "Session | None" = None  # of the job
    job: "Job | None" = None


def bay(library: "Library", args: Namespace) -> Bay | str:
    """The engine and the builds that options or a job name, for a command without a walk."""
    if getattr(args, "job", None) is not None:
        found = begun_job(library, args)
        if isinstance(found, str):
            return found
        session, job = found
        return Bay(session.case.engine, session.known.builds, session.opened or None, session, job)
    chosen = shared.choose_car(library, args)
    return chosen if isinstance(chosen, str) else Bay(chosen[0], chosen[2])


def stored(args: Namespace) -> "Job | str | None":
    """The job of `--job` as it is kept; a sentence where the store can't be read, None where there is no such job."""
    wrong = wrong_number(args.job)
    if wrong:
        return wrong
    store = opened(args, making=False)
    if store is None or isinstance(store, str):
        return store
    from diagtree.jobs.handing import Unkept

    job = store.job(args.job)
    store.close()
    return job.sentence if isinstance(job, Unkept) else job


def opened(args: Namespace, *, making: bool) -> "Store | str | None":
    """The store of jobs; a sentence where it can't be opened, None where there is none yet."""
    from diagtree.jobs.handing import Unkept

    store = opening(args, making=making)
    return store.sentence if isinstance(store, Unkept) else store


def opening(args: Namespace, *, making: bool) -> "Store | Unkept | None":
    """The same, the sentence as a value of its own."""
    from diagtree.jobs.address import address
    from diagtree.jobs.store import open_store

    return open_store(address(args.jobs), making=making)


def no_job(args: Namespace) -> str:
    """The sentence that there is no such job."""
    from diagtree.jobs.address import address

    return f"There is no job {args.job} in {address(args.jobs).shown}. `diagtree jobs` lists those there are."


def wrong_number(number: str) -> str:
    """The sentence that a job can't have this number; nothing where it can."""
    if (
        0 < len(number) <= 40
        and number[0].isalnum()
        and all(c.isascii() and (c.isalnum() or c in "._/-") for c in number)
    ):
        return ""
    return f"'{number}' can't be a job's number. Write up to 40 letters, figures, and any of . _ / - between them."


def added(session: "Session", args: Namespace) -> "Session | str":
    """A job's walk with the features and answers of a command's options, which are told in it like any other."""
    from diagtree.walk import moves
    from diagtree.walk.answers import Refused

    known = shared.known_features(session.case.engine, args.feature)
    if isinstance(known, str):
        return known
    seen: dict[str, str] = {moves.BUILD: args.build} if args.build is not None else known
    answers = known_answers(args) if hasattr(args, "answer") else {}
    if isinstance(answers, str):
        return answers
    asked = [*((moves.identify, pair) for pair in seen.items()), *((moves.tell, pair) for pair in answers.items())]
    for step, (name, value) in asked:
        after = step(session, name, value)
        if isinstance(after, Refused):
            return after.sentence
        session = after
    return session


def _ground(library: "Library", job: "Job", args: Namespace) -> "Ground | str":
    """What the job's walk stands on in this library; else the sentence that says what is missing."""
    from diagtree.graph.serving import engines
    from diagtree.jobs.replay import Ground

    stated = getattr(args, "tree", None)
    # A drawing may be of another tree that the walk went on in.
    if stated is not None and stated != job.tree and args.command != "draw":
        return (
            f"Job {job.number} walks the tree '{job.tree}', not '{stated}'. Leave the tree out, or begin another job."
        )
    elsewhere = "Name the library that it was begun with by --library."
    tree = library.trees.get(job.tree)
    if tree is None:
        return f"Job {job.number} walks the tree '{job.tree}', which this library does not have. {elsewhere}"
    known = {engine.id: engine for engine in engines(library)}
    name = job.engine or next(iter(known))
    if args.engine is not None and args.engine != name:
        return f"Job {job.number} is of the engine '{name}', not '{args.engine}'. Leave --engine out."
    if name not in known:
        return f"Job {job.number} is of the engine '{name}', which this library does not have. {elsewhere}"
    return Ground(library, tree, known[name])


def _news(job: "Job", found: "Replayed", *, changed: bool) -> tuple[str, ...]:
    lines = [f"The library has changed since job {job.number} was last walked. Its answers count as they read today."]
    gone = []
    for misfit in found.misfits:
        entry = misfit.entry
        what = f"{entry.subject}={entry.typed or entry.value}" if entry.kind != "cannot-tell" else f"{entry.subject}=?"
        gone.append(f"No longer fits, and is kept without effect: {what}. {misfit.why}")
    return (*(lines if changed else []), *gone)
