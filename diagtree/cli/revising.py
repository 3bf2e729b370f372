"""What `learn` would make of the files: its effect, the patch, and the files themselves once somebody said yes."""

import sys
from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import shared, streams

if TYPE_CHECKING:
    from collections.abc import Iterator

    from diagtree.learning.flips import Flip
    from diagtree.learning.proposal import Proposal
    from diagtree.model.library import Library
    from diagtree.model.problem import Problem
    from diagtree.report.learn import Effect, Lesson
    from diagtree.source.reader import Read
    from diagtree.source.replacing import Change


def effect(found: "Read", proposal: "Proposal") -> "Effect | str":
    """What comes of it: the files as they would be, read and vetted anew. A sentence where they can't be told."""
    from diagtree.learning.standing import edits
    from diagtree.report.learn import Effect
    from diagtree.source.patching import patched

    texts: dict[str, str] = {}
    for file, text in found.texts.items():
        own = [one for one in edits(proposal) if one.place.file == file]
        after = patched(text, own)
        if after is None:
            return f"{shared.safe(file)} has numbers that can't be told apart. `diagtree vet` may say why."
        if after != text:
            texts[file] = after
    if not texts:
        return Effect(texts, (), ())
    again, names = _again(found, texts)
    return Effect(texts, tuple(_flips(found.library, again.library)), tuple(_new(found, again, names)))


def _again(found: "Read", texts: "dict[str, str]") -> "tuple[Read, dict[str, str]]":
    """The library with these texts in the place of its own, and what its files are really called."""
    import tempfile

    from diagtree.source.reader import read

    names: dict[str, str] = {}
    with tempfile.TemporaryDirectory(prefix="diagtree-") as folder:
        for at, (file, text) in enumerate(found.texts.items()):
            path = Path(folder, f"{at:06}.yaml")
            path.write_bytes(texts.get(file, text).encode())
            names[str(path)] = file
        return read(folder), names


def _flips(before: "Library", after: "Library") -> "list[Flip]":
    """Where the advice changes."""
    from diagtree.learning.flips import flips

    return [one for tree in before.trees for one in flips(before, after, tree)]


def _new(before: "Read", after: "Read", names: "dict[str, str]") -> "Iterator[Problem]":
    """What `vet` would find that it does not find now. No line moves, so lines are compared."""
    from dataclasses import replace

    from diagtree.rules.registry import vet

    known = {(one.rule, one.file, one.line) for one in vet(before)}
    for one in vet(after):
        named = replace(one, file=names.get(one.file, one.file))
        if (named.rule, named.file, named.line) not in known:
            yield named


def tell(lesson: "Lesson", args: Namespace) -> None:
    """Say what was learned, and what was written."""
    from diagtree.report import learn as render
    from diagtree.report.lines import COLUMNS

    if args.json:
        sys.stdout.write(render.as_json(lesson))
        return
    sys.stdout.write(render.as_text(lesson, streams.columns(sys.stdout, COLUMNS)))
    if args.patch:
        told = f"Wrote {args.patch}. Nothing in the library was changed. In its folder: patch -p1 < {args.patch}"
        sys.stdout.write(f"\n{shared.safe(told)}\n")
    elif args.write and args.yes:
        sys.stdout.write(_written(lesson))


def patch(lesson: "Lesson", args: Namespace) -> str:
    """Write the patch; '' or why not."""
    from diagtree.draw.saving import save
    from diagtree.source.replacing import difference

    changes = _changes(lesson)
    if isinstance(changes, str):
        return changes
    refusal = save(Path(args.patch), difference(changes, _root(args)).encode())
    return refusal.sentence if refusal else ""


def write(lesson: "Lesson") -> str:
    """Change the files, all or none; '' or why not."""
    from diagtree.source.replacing import replace_all

    errors = [one for one in lesson.effect.problems if one.severity == "error"]
    if errors:
        return f"The library would have errors then ({shared.safe(errors[0].message)}): no file was changed."
    changes = _changes(lesson)
    return changes if isinstance(changes, str) else replace_all(changes)


def ask(lesson: "Lesson") -> int:
    """Show the difference, and write it if somebody says yes."""
    from diagtree.source.replacing import difference

    changes = _changes(lesson)
    if isinstance(changes, str):
        return shared.refuse(changes)
    if not changes:
        return shared.DONE
    lines = difference(changes, Path()).split("\n")
    shown = "\n".join(shared.safe(line.expandtabs(4)) for line in lines)
    sys.stdout.write(f"\n{shown}\nWrite this into {_files(lesson)}? Type yes: ")
    sys.stdout.flush()
    if sys.stdin.readline().strip() != "yes":
        sys.stdout.write("No file was changed.\n")
        return shared.DONE
    wrong = write(lesson)
    if wrong:
        return shared.refuse(wrong)
    sys.stdout.write(_written(lesson))
    return shared.DONE


def _changes(lesson: "Lesson") -> "list[Change] | str":
    from diagtree.source.replacing import change

    found: list[Change] = []
    for file, after in lesson.effect.texts.items():
        one = change(Path(file), lesson.found.texts[file], after)
        if isinstance(one, str):
            return one
        found.append(one)
    return found


def _root(args: Namespace) -> Path:
    """The library's folder."""
    path = Path(shared.library_path(args))
    return path if path.is_dir() else path.parent


def _files(lesson: "Lesson") -> str:
    many = len(lesson.effect.texts)
    return f"{many} file{'' if many == 1 else 's'}"


def _written(lesson: "Lesson") -> str:
    if not lesson.effect.texts:
        return ""
    return f"\nChanged {_files(lesson)}. Vet the library, and draw its posters anew.\n"
