"""`diagtree learn`: what the closed jobs say of the author's numbers, and a patch to review."""

import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import executors, shared, streams

if TYPE_CHECKING:
    from collections.abc import Mapping

    from diagtree.jobs.counting import Counts
    from diagtree.learning.flips import Flip
    from diagtree.learning.proposal import Number
    from diagtree.model.library import Library
    from diagtree.report.learn import Lesson
    from diagtree.source.reader import Read

NAME = "learn"
HELP = "what closed jobs say of the author's numbers"


def add_arguments(parser: ArgumentParser) -> None:
    """Where the jobs are, what an author's number is worth, what is written."""
    shared.add_library(parser)
    parser.add_argument("--jobs", metavar="FILE", help="the store (else $DIAGTREE_JOBS, else your own)")
    parser.add_argument("--parquet", metavar="PATH", help="in its place: a Parquet file, or a folder of such parts")
    parser.add_argument(
        "--strength",
        type=_above_zero,
        metavar="CARS",
        default=20.0,
        help="how many cars an author's number is worth (20)",
    )
    parser.add_argument(
        "--least", type=_above_zero, metavar="CARS", default=5.0, help="cars from which a number is changed at all (5)"
    )
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--patch", metavar="FILE", help="write what would change as a patch, to review")
    which.add_argument("--write", action="store_true", help="change the files, after they were shown and you said yes")
    parser.add_argument("--yes", action="store_true", help="with --write: without being asked")
    executors.add_workers(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Learn, tell, and write where that is asked for."""
    if args.yes and not args.write:
        return shared.refuse("--yes goes with --write.")
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    counted = _counted(library, args)
    if isinstance(counted, str):
        return shared.refuse(counted)

    from diagtree.source.reader import read

    found = read(shared.library_path(args))
    learned = _learned(found, counted, args)
    if isinstance(learned, str):
        return shared.refuse(learned)
    lesson, texts = learned
    if args.patch:
        wrong = _patch(found, texts, args.patch)
        if wrong:
            return shared.refuse(wrong)
    _tell(lesson, args)
    return _write(found, texts, args) if args.write else shared.DONE


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


def _learned(found: "Read", counted: "Counts", args: Namespace) -> "tuple[Lesson, Mapping[str, str]] | str":
    """What is learned, and the files as they would be."""
    from diagtree.learning.cases import shown_in
    from diagtree.learning.drift import drifts
    from diagtree.learning.mixture import learn
    from diagtree.learning.proposal import propose
    from diagtree.learning.reading import read
    from diagtree.report.learn import Lesson

    library = found.library
    cases, shown, unfit = read(library, counted)
    learned = learn(library, cases, shown, args.strength)
    proposal = propose(library, learned, args.least)
    texts = _patched(found, proposal.numbers)
    if texts is None:
        return "The files have changed meanwhile. Try again."
    turned = _flips(library, texts)
    known = (*shown, *shown_in(cases))
    lesson = Lesson(
        library, counted.jobs, args.strength, proposal, drifts(library, known), turned, unfit, counted.unread
    )
    return lesson, texts


def _patched(found: "Read", numbers: "tuple[Number, ...]") -> "dict[str, str] | None":
    """The texts of the files that change."""
    from diagtree.source.patching import Edit, patched

    texts: dict[str, str] = {}
    for file, text in found.texts.items():
        edits = [Edit(one.place, one.after) for one in numbers if one.place.file == file]
        if edits:
            after = patched(text, edits)
            if after is None:
                return None
            texts[file] = after
    return texts


def _flips(library: "Library", texts: "Mapping[str, str]") -> "tuple[Flip, ...]":
    """Where the advice changes: the library is read anew with the files as they would be."""
    if not texts:
        return ()
    import tempfile

    from diagtree.learning.flips import flips
    from diagtree.source.reader import read

    with tempfile.TemporaryDirectory(prefix="diagtree-") as folder:
        for at, text in enumerate(texts.values()):
            Path(folder, f"{at}.yaml").write_text(text, encoding="utf-8")
        again = read(folder).library
    after = _with(library, again)
    return tuple(one for tree in library.trees for one in flips(library, after, tree))


def _with(library: "Library", changed: "Library") -> "Library":
    """The library with the entries of the files that changed."""
    from dataclasses import replace

    return replace(
        library,
        checks={name: changed.checks.get(name, one) for name, one in library.checks.items()},
        trees={name: changed.trees.get(name, one) for name, one in library.trees.items()},
    )


def _tell(lesson: "Lesson", args: Namespace) -> None:
    from diagtree.report import learn as render
    from diagtree.report.lines import COLUMNS

    columns = streams.columns(sys.stdout, COLUMNS)
    sys.stdout.write(render.as_json(lesson) if args.json else render.as_text(lesson, columns))
    if args.patch and not args.json:
        sys.stdout.write(f"\n{shared.safe(f'Wrote {args.patch}. Nothing in the library was changed.')}\n")


def _difference(found: "Read", texts: "Mapping[str, str]") -> str:
    from difflib import unified_diff

    lines: list[str] = []
    for file, after in texts.items():
        before = found.texts[file]
        for line in unified_diff(before.splitlines(), after.splitlines(), f"a/{file}", f"b/{file}", lineterm=""):
            lines.append(f"{line}\n")  # noqa: PERF401 -- a generator of one file after another reads worse
    return "".join(lines)


def _patch(found: "Read", texts: "Mapping[str, str]", path: str) -> str:
    from diagtree.draw.saving import save

    refusal = save(Path(path), _difference(found, texts).encode())
    return refusal.sentence if refusal else ""


def _write(found: "Read", texts: "Mapping[str, str]", args: Namespace) -> int:
    """Change the files. Never silently: what changes was shown, and somebody said yes."""
    if not texts:
        return shared.DONE
    if not args.yes:
        if args.json or sys.stdin is None or not sys.stdin.isatty():
            return shared.refuse(
                "Nobody is there to say yes, so no file was changed. --patch writes what would change."
            )
        sys.stdout.write(f"\n{_difference(found, texts)}\nWrite these into {len(texts)} files? Type yes: ")
        sys.stdout.flush()
        if sys.stdin.readline().strip() != "yes":
            sys.stdout.write("No file was changed.\n")
            return shared.DONE
    for file, text in texts.items():
        wrong = _replaced(Path(file), found.texts[file], text)
        if wrong:
            return shared.refuse(wrong)
    if not args.json:
        sys.stdout.write(f"\nChanged {len(texts)} files. Vet the library, and draw its posters anew.\n")
    return shared.DONE


def _replaced(path: Path, before: str, after: str) -> str:
    """Write one file, if it still holds what was read; '' or why not."""
    from diagtree.draw.saving import save

    mark = "\ufeff".encode()
    try:
        held = path.read_bytes()
    except OSError as error:
        return f"{path} can't be read ({(error.strerror or 'no reason given').lower()}): it was not changed."
    if held.removeprefix(mark) != before.encode():
        return f"{path} has changed meanwhile: it was left as it is. Try again."
    refusal = save(path, (mark if held.startswith(mark) else b"") + after.encode())
    return refusal.sentence if refusal else ""


def _above_zero(text: str) -> float:
    value = float(text)
    if not 0 < value <= 1e9:
        raise ValueError
    return value
