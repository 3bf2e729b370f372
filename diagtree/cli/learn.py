"""`diagtree learn`: what the closed jobs say of the author's numbers, and a patch to review."""

import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import executors, figures, revising, shared

if TYPE_CHECKING:
    from diagtree.jobs.counting import Counts
    from diagtree.model.library import Library
    from diagtree.report.learn import Lesson

NAME = "learn"
HELP = "what closed jobs say of the author's numbers"


def add_arguments(parser: ArgumentParser) -> None:
    """Where the jobs are, what an author's number is worth, what is written."""
    shared.add_library(parser)
    parser.add_argument("--jobs", metavar="FILE", help="the store (else $DIAGTREE_JOBS, else your own)")
    parser.add_argument("--parquet", metavar="PATH", help="in its place: a Parquet file, or a folder of such parts")
    parser.add_argument(
        "--strength",
        type=figures.above_zero(1e9, "20"),
        metavar="CARS",
        default=20.0,
        help="how many cars an author's number is worth (20)",
    )
    parser.add_argument(
        "--least",
        type=figures.above_zero(1e9, "5"),
        metavar="CARS",
        default=5.0,
        help="cars from which a number is changed at all (5)",
    )
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--patch", metavar="FILE", help="write what would change as a patch, to review")
    which.add_argument("--write", action="store_true", help="change the files, after they were shown and you said yes")
    parser.add_argument("--yes", action="store_true", help="with --write: without being asked")
    executors.add_workers(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Learn, tell, and write where that is asked for."""
    wrong = _asked_wrongly(args)
    if wrong:
        return shared.refuse(wrong)
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    counted = _counted(library, args)
    if isinstance(counted, str):
        return shared.refuse(counted)
    lesson = _learned(counted, args)
    if isinstance(lesson, str):
        return shared.refuse(lesson)
    if args.patch:
        wrong = revising.patch(lesson, args)
    elif args.write and args.yes:
        wrong = revising.write(lesson)
    if wrong:
        return shared.refuse(wrong)
    revising.tell(lesson, args)
    return revising.ask(lesson) if args.write and not args.yes else shared.DONE


def _asked_wrongly(args: Namespace) -> str:
    """What does not go together, said before anything is told: '' or a sentence."""
    if args.yes and not args.write:
        return "--yes goes with --write."
    if args.write and not args.yes and (args.json or sys.stdin is None or not sys.stdin.isatty()):
        return "Nobody is there to say yes, so no file was changed. --patch writes what would change."
    return ""


def _counted(library: "Library", args: Namespace) -> "Counts | str":
    """The closed jobs, counted where they lie."""
    if args.parquet:
        return _parts(library, args)
    if args.workers or args.cluster:
        return "Several workers count Parquet parts: name them with --parquet."

    from diagtree.cli.sessions import opened
    from diagtree.jobs.counting import Counts, count
    from diagtree.jobs.handing import Unkept

    store = opened(args, making=False)
    if isinstance(store, str):
        return store
    if store is None:
        return Counts((), (), (), 0)
    try:
        counted = count(store, library)
    finally:
        store.close()
    return counted.sentence if isinstance(counted, Unkept) else counted


def _parts(library: "Library", args: Namespace) -> "Counts | str":
    from dataclasses import replace

    from diagtree.jobs.parquet import count_parts, joined, parts
    from diagtree.reason.spreading import LostError, spread

    opening = executors.opening(args)
    if isinstance(opening, str):
        return opening
    listed = parts(Path(args.parquet))
    if not listed:
        return f"There is no Parquet file at {args.parquet}. `diagtree export --out jobs.parquet` writes one."
    bare, paths = replace(library, origins={}), tuple(path.absolute() for path in listed)
    # Here the database itself works on all parts at a time.
    pieces = [(bare, (path,)) for path in paths] if opening else [(bare, paths)]
    counted = {}
    try:
        for at, found in spread(count_parts, pieces, opening):
            counted[at] = found
            executors.progress(f"{len(counted)} of {len(pieces)} parts")
    except OSError as error:
        return f"{args.parquet} can't be read as closed jobs: {shared.safe(str(error))[:200]}"
    except LostError:
        return "The workers were lost again and again. Try with fewer."
    finally:
        executors.progress("")
    return joined(counted[at] for at in range(len(pieces)))


def _learned(counted: "Counts", args: Namespace) -> "Lesson | str":
    """What is learned, and what it would do."""
    from diagtree.learning.cases import shown_in
    from diagtree.learning.drift import drifts
    from diagtree.learning.mixture import learn
    from diagtree.learning.proposal import propose
    from diagtree.learning.reading import read as fit
    from diagtree.learning.standing import writable
    from diagtree.report.learn import Lesson
    from diagtree.source.reader import read

    found = read(shared.library_path(args))
    library = found.library
    cases, shown, unfit = fit(library, counted)
    learned = learn(library, cases, shown, args.strength)
    proposal, stuck = writable(library, found.texts, propose(library, learned, args.least))
    effect = revising.effect(found, proposal)
    if isinstance(effect, str):
        return effect
    told = drifts(library, (*shown, *shown_in(cases)))
    return Lesson(found, counted.jobs, args.strength, proposal, told, effect, unfit, counted.unread, stuck)
